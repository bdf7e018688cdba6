# Drawn walls (with and without joints) and scenes, by another generator than tests/scenes: real grain, halved chroma.
# python tones_gen.py SEED COUNT FOLDER, from the project folder; then tones_judge.py PROGRAM FOLDER.
import numpy as np, json, os, sys, io
from PIL import Image
from scipy import ndimage as ndi
from skimage import color
P = os.path.join(os.environ.get('HILLWASH_SHARED', '../shared'), 'photos', '')
def lin(s): return np.where(s<=0.04045,s/12.92,((s+0.055)/1.055)**2.4)
def enc(l):
    l=np.clip(l,0,1); return np.where(l<=0.0031308,12.92*l,1.055*l**(1/2.4)-0.055)
def lab2lin(lab):
    x=color.lab2xyz(np.array(lab,float).reshape(1,1,3)).reshape(3)
    M=np.array([[3.2404542,-1.5371385,-.4985314],[-.969266,1.8760108,.041556],[.0556434,-.2040259,1.0572252]])
    return M@x
def lin2lab(l):
    l=np.asarray(l,float); s=enc(np.clip(l,0,1)); return color.rgb2lab(s.reshape(-1,1,3)).reshape(-1,3)
def de(a,b): return float(color.deltaE_ciede2000(np.array(a,float),np.array(b,float)))
grains=None
def grain(h,w,rng):
    """real photo grain: high-pass log-luminance residual of photos, normalised to sd 1, random crop/flip/tile"""
    global grains
    if grains is None:
        grains=[]
        for f,box in [('rubble-stone-wall.jpg',(0,0,512,512)),('weathered-stone-arches.jpg',(400,500,1000,720)),('brick-houses-cobbled-street.jpg',(10,170,150,420)),('rock-face-grass-slope-path.jpg',(700,400,1050,650)),('weathered-timber-cladding.jpg',(100,1000,500,1180))]:
            im=np.asarray(Image.open(P+f).convert('RGB'),float)/255
            im=im[box[1]:box[3],box[0]:box[2]]
            L=np.log(lin(im).mean(2)+0.02)
            r=L-ndi.gaussian_filter(L,2.0)
            r=r/np.sqrt(ndi.gaussian_filter(r*r,15)+1e-4)  # even out
            grains.append(r/r.std())
    g=grains[rng.integers(len(grains))]
    if rng.random()<.5: g=g[:,::-1]
    if rng.random()<.5: g=g[::-1]
    reps=(h//g.shape[0]+2,w//g.shape[1]+2)
    t=np.tile(np.block([[g,g[:,::-1]],[g[::-1],g[::-1,::-1]]]),(max(1,reps[0]//2+1),max(1,reps[1]//2+1)))
    y=rng.integers(0,t.shape[0]-h+1);x=rng.integers(0,t.shape[1]-w+1)
    return t[y:y+h,x:x+w]
def inrange(lab):
    l=lab2lin(lab); return l.min()>0.008 and l.max()<0.75
def pick_apart(base,rng,lo,hi,darker=None):
    while True:
        c=np.array([rng.uniform(15,88),0,0]); ch=rng.uniform(0,35); h=np.radians(rng.uniform(20,120))
        c[1:]=ch*np.cos(h),ch*np.sin(h)
        d=de(base,c)
        if lo<=d<=hi and inrange(c) and (darker is None or (c[0]<base[0])==darker) : return c
def finish(img,rng,name,q=None,blur=None,noise=None):
    h,w,_=img.shape
    gx,gy=rng.uniform(-.12,.12,2)
    yy,xx=np.mgrid[0:h,0:w]
    img=img*(1+gx*(xx/w-.5)*2+gy*(yy/h-.5)*2)[...,None]
    b=blur if blur is not None else rng.uniform(.5,.9)
    img=np.stack([ndi.gaussian_filter(img[...,c],b) for c in range(3)],2)
    s=enc(img)*255
    n=noise if noise is not None else rng.uniform(1,4)
    nz=rng.normal(0,n,s.shape)*.6+rng.normal(0,n,s.shape[:2])[...,None]*.6
    s=np.clip(np.round(s+nz),0,255).astype(np.uint8)
    q=int(q if q is not None else rng.integers(60,91))
    Image.fromarray(s).save(name,quality=q,subsampling=2)
    return q
def wall(seed,name,joint=True):
    rng=np.random.default_rng(seed)
    h,w=int(rng.integers(380,700)),int(rng.integers(480,900))
    stone=rng.random()<.4
    jw=rng.uniform(2,9); area=rng.uniform(.04,.12)
    body=None
    while body is None or not inrange(body):
        hue=np.radians(rng.uniform(35,95)); ch=rng.uniform(4,32)
        body=np.array([rng.uniform(28,72),ch*np.cos(hue),ch*np.sin(hue)])
    jc=pick_apart(body,rng,8,20)
    if stone:
        size=2.1*jw/area*.95
        n=max(6,int(h*w/size**2))
        # jittered grid
        gy=np.arange(-size/2,h+size,size); gx=np.arange(-size/2,w+size,size)
        pts=np.array([(y+rng.uniform(-.35,.35)*size,x+rng.uniform(-.35,.35)*size) for y in gy for x in gx])
        from scipy.spatial import cKDTree
        ss=2
        yy,xx=np.mgrid[0:h*ss,0:w*ss]/ss
        d,i=cKDTree(pts).query(np.stack([yy.ravel(),xx.ravel()],1),k=2)
        p0=pts[i[:,0]];p1=pts[i[:,1]]
        edge=((d[:,1]**2-d[:,0]**2)/(2*np.linalg.norm(p1-p0,axis=1))).reshape(h*ss,w*ss)
        isj=edge<jw/2; unit=i[:,0].reshape(h*ss,w*ss)
    else:
        # f ~ jw/ch + jw/bl, bl=3*ch
        chh=jw*(4/3)/area; bl=3*chh
        ss=2
        yy,xx=np.mgrid[0:h*ss,0:w*ss]/ss
        yy=yy+rng.uniform(0,chh)
        tilt=rng.uniform(-.03,.03); yr=yy+tilt*xx; xr=xx-tilt*yy+1000
        row=np.floor(yr/chh); sh=(row%2)*.5
        col=np.floor(xr/bl+sh)
        isj=((yr/chh-row)*chh<jw)|(((xr/bl+sh)-col)*bl<jw)
        unit=(row*1000+col).astype(int); unit=np.unique(unit,return_inverse=True)[1].reshape(unit.shape)
    nu=int(unit.max())+1
    var=rng.uniform(0,.10)
    tint=np.exp(rng.normal(0,var,nu))[:,None]*np.exp(rng.normal(0,var*.25,(nu,3)))
    bl_=lab2lin(body); jl=lab2lin(jc)
    img=bl_[None,None]*tint[unit]
    if joint: img=np.where(isj[...,None],jl,img)
    img=img.reshape(h,ss,w,ss,3).mean((1,3))
    g=rng.uniform(.02,.09)
    img=img*np.exp(g*np.clip(grain(h,w,rng),-3,3))[...,None]
    q=finish(img,rng,name)
    return dict(kind='wall' if joint else 'bare',file=name,body=lin2lab(bl_*tint.mean(0))[0].tolist(),joint=jc.tolist() if joint else None,jw=jw,area=float(isj.mean()) if joint else 0,q=q,de=de(body,jc),var=var,grain=g,stone=bool(stone))
def scene(seed,name):
    rng=np.random.default_rng(seed+50000)
    h,w=int(rng.integers(300,560)),int(rng.integers(400,760))
    k=int(rng.integers(3,8))
    cols=[]
    while len(cols)<k:
        ch=rng.uniform(2,48);hue=np.radians(rng.uniform(35,125) if rng.random()<.6 else rng.uniform(0,360))
        c=np.array([rng.uniform(24,84),ch*np.cos(hue),ch*np.sin(hue)])
        if inrange(c) and all(de(c,o)>=12 for o in cols): cols.append(c)
    wts=rng.uniform(.6,2.4,k)
    style=rng.integers(3)
    yy,xx=np.mgrid[0:h,0:w].astype(float)
    if style==0: # wavy stripes, long borders
        p=rng.uniform(14,40)
        a=rng.uniform(0,np.pi)
        u=xx*np.cos(a)+yy*np.sin(a)+6*np.sin((yy*np.cos(a)-xx*np.sin(a))/rng.uniform(15,50))
        idx=np.floor(u/p).astype(int)-int(np.floor(u.min()/p)); n=idx.max()+1
        seq=np.concatenate([rng.permutation(k) for _ in range(n//k+2)])[:n]; lab=seq[idx]
    elif style==1: # small cells
        size=rng.uniform(18,45); m=int(h*w/size**2)
        pts=np.stack([rng.uniform(0,h,m),rng.uniform(0,w,m)],1)
        own=rng.choice(k,m,p=wts/wts.sum()); own[:k]=np.arange(k)
        from scipy.spatial import cKDTree
        _,i=cKDTree(pts).query(np.stack([yy.ravel(),xx.ravel()],1)); lab=own[i].reshape(h,w)
    else: # smooth noise level sets
        f=[ndi.gaussian_filter(rng.normal(size=(h,w)),rng.uniform(10,22)) for _ in range(k)]
        f=np.stack([x/x.std()+.25*(wt-1.5) for x,wt in zip(f,wts)]); lab=f.argmax(0)
    acc=None
    if seed%2==0:
        while True:
            ch=rng.uniform(15,60);hue=np.radians(rng.uniform(0,360)); c=np.array([rng.uniform(25,82),ch*np.cos(hue),ch*np.sin(hue)])
            if inrange(c) and all(de(c,o)>=12 for o in cols): break
        cols.append(c);acc=k
        nb=int(rng.integers(4,9)); r=np.sqrt(.01*h*w/nb/np.pi)
        for _ in range(nb):
            cy,cx=rng.uniform(r,h-r),rng.uniform(r,w-r); lab=np.where((yy-cy)**2+(xx-cx)**2<r*r,acc,lab)
    L=np.stack([lab2lin(c) for c in cols]); img=L[lab]
    g=rng.uniform(.03,.13); lo=rng.uniform(.02,.10)
    tex=g*np.clip(grain(h,w,rng),-3,3); s=ndi.gaussian_filter(rng.normal(size=(h,w)),rng.uniform(2,6)); tex=tex+lo*s/s.std()
    img=img*np.exp(tex)[...,None]
    truth=[]
    for i in range(len(cols)):
        m=lab==i
        truth.append(dict(lab=lin2lab(img[m].mean(0))[0].tolist(),share=float(m.mean())))
    q=finish(img,rng,name)
    return dict(kind='scene',file=name,truth=truth,acc=acc,q=q,style=int(style),grain=g,lo=lo)
if __name__=='__main__':
    base=int(sys.argv[1]); n=int(sys.argv[2]); out=sys.argv[3]
    T=[]
    for s in range(base,base+n):
        T.append(wall(s,f'{out}/wall{s}.jpg')); T.append(wall(s,f'{out}/bare{s}.jpg',False)); T.append(scene(s,f'{out}/scene{s}.jpg'))
    json.dump(T,open(f'{out}/truth.json','w'))
