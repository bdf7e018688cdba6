# Other walls than tones_gen.py draws: python walls_gen.py COUNT FOLDER, from the project folder.
#  ashlar and boards with gaps; 1/f texture; perspective tilt; vignetting; sharpening; 4:4:4 or 4:2:0
import numpy as np, json, sys
from PIL import Image, ImageFilter
from scipy import ndimage as ndi
from tones_gen import lab2lin, lin2lab, de, enc, inrange, pick_apart
def pink(h,w,rng,p=1.0):
    f=np.hypot(*np.meshgrid(np.fft.fftfreq(w),np.fft.fftfreq(h))); f[0,0]=1
    s=np.fft.ifft2(np.fft.fft2(rng.normal(size=(h,w)))/f**p).real
    return s/s.std()
def wall(seed,name,joint=True):
    rng=np.random.default_rng(seed+777000)
    h,w=int(rng.integers(420,800)),int(rng.integers(560,1000)); S=2
    kind=rng.integers(3) # 0 ashlar, 1 boards, 2 running bond w/ wobble
    jw=rng.uniform(2,9); area=rng.uniform(.04,.12)
    body=None
    while body is None or not inrange(body):
        hue=np.radians(rng.uniform(20,110)); ch=rng.uniform(2,36); body=np.array([rng.uniform(30,78),ch*np.cos(hue),ch*np.sin(hue)])
    jc=pick_apart(body,rng,8,20)
    yy,xx=np.mgrid[0:h*S,0:w*S]/S
    wob=ndi.gaussian_filter(rng.normal(size=(h*S,w*S)),30); wob*=rng.uniform(0,2.0)/wob.std()
    a=rng.uniform(-.08,.08); u=xx*np.cos(a)-yy*np.sin(a)+wob; v=xx*np.sin(a)+yy*np.cos(a)+wob.T[:h*S,:w*S] if wob.T.shape[0]>=h*S and wob.T.shape[1]>=w*S else xx*np.sin(a)+yy*np.cos(a)-wob
    v=v+3000; u=u+3000
    if kind==1: chh=jw/area; row=np.floor(v/chh); isj=(v/chh-row)*chh<jw; unit=row
    else:
        r=1.6 if kind==0 else 3.2; chh=jw*(1+1/r)/area; bl=r*chh
        row=np.floor(v/chh); sh=(row*0.37)%1; col=np.floor(u/bl+sh); isj=((v/chh-row)*chh<jw)|((u/bl+sh-col)*bl<jw); unit=row*4096+col
    unit=np.unique(unit,return_inverse=True)[1].reshape(isj.shape)
    n=unit.max()+1; var=rng.uniform(0,.10)
    tint=np.exp(rng.normal(0,var,n))[:,None]*np.exp(rng.normal(0,var*.3,(n,3)))
    bl_=lab2lin(body); jl=lab2lin(jc)
    img=bl_[None,None]*tint[unit]
    if joint: img=np.where(isj[...,None],jl,img)
    img=img.reshape(h,S,w,S,3).mean((1,3))
    img*=np.exp(rng.uniform(.02,.08)*pink(h,w,rng,.6)+rng.uniform(0,.05)*ndi.gaussian_filter(pink(h,w,rng,1.),2))[...,None]
    y,x=np.mgrid[0:h,0:w]; img*=(1-rng.uniform(0,.2)*((x/w-.5)**2+(y/h-.5)**2)*2)[...,None]
    b=rng.uniform(.4,1.0); img=np.stack([ndi.gaussian_filter(img[...,c],b) for c in range(3)],2)
    s=enc(img)*255+rng.normal(0,rng.uniform(.5,3.5),(h,w,1))+rng.normal(0,rng.uniform(.5,2.5),(h,w,3))
    im=Image.fromarray(np.clip(np.round(s),0,255).astype(np.uint8))
    if rng.random()<.4: im=im.filter(ImageFilter.UnsharpMask(1.2,60,2))
    q=int(rng.integers(60,93)); im.save(name,quality=q,subsampling=int(rng.choice([0,2])))
    return dict(kind='wall' if joint else 'bare',file=name,body=lin2lab(bl_*tint.mean(0))[0].tolist(),joint=jc.tolist() if joint else None,jw=jw,area=float(isj.mean()),q=q,de=de(body,jc),var=var,grain=0,stone=bool(kind))
T=[]; out=sys.argv[2]
for s in range(int(sys.argv[1])): T.append(wall(s,f'{out}/wall{s}.jpg')); T.append(wall(s,f'{out}/bare{s}.jpg',False))
json.dump(T,open(f'{out}/truth.json','w'))
