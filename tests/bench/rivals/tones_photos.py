# Coverage and steadiness of tones on the shared photos, whole and in quarters: tones_photos.py PROGRAM.
import sys,subprocess,json,os,io,numpy as np
from PIL import Image
from skimage import color
from scipy import ndimage as ndi
from tones_judge import run_bin,de
P = os.path.join(os.environ.get('HILLWASH_SHARED', '../shared'), 'photos', '')
names=sorted(f for f in os.listdir(P) if f.endswith('.jpg'))
bundled=['brick-houses-cobbled-street','hillside-autumn-trees-hazy-crag','pavilion-tile-roofs-hazy-lake','rubble-stone-wall','weathered-timber-cladding','woodland-stream-mossy-rocks']
D='target/ph'
def make():
    os.makedirs(D,exist_ok=True)
    for f in names:
        im=Image.open(P+f); 
        b=f[:-4]
        im=im.convert('RGB'); a=np.asarray(im)
        Image.fromarray(a).save(f'{D}/{b}-whole.png')
        im.resize((im.width//2,im.height//2),Image.BILINEAR).save(f'{D}/{b}-half.png')
        im.save(f'{D}/{b}-q75.jpg',quality=75)
        r=np.random.default_rng(7); Image.fromarray(np.clip(np.round(a+r.normal(0,2.55,a.shape)),0,255).astype(np.uint8)).save(f'{D}/{b}-noise.png')
        for k,(y,x) in enumerate([(0,0),(0,1),(1,0),(1,1)]):
            h,w=a.shape[0]//2,a.shape[1]//2
            q=Image.fromarray(a[y*h:(y+1)*h,x*w:(x+1)*w]); bb=f'{D}/{b}-Q{k}'
            q.save(bb+'-whole.png'); q.resize((w//2,h//2),Image.BILINEAR).save(bb+'-half.png'); q.save(bb+'-q75.jpg',quality=75)
            c=np.asarray(q); Image.fromarray(np.clip(np.round(c+r.normal(0,2.55,c.shape)),0,255).astype(np.uint8)).save(bb+'-noise.png')
def unmixed(path):
    im=Image.open(path).convert('RGB'); s=640/max(im.size)
    if s<1: im=im.resize((round(im.width*s),round(im.height*s)),Image.LANCZOS)
    a=np.asarray(im)
    m=np.stack([ndi.median_filter(a[...,c],5) for c in range(3)],2)
    lab=color.rgb2lab(m)
    # edge: difference across 2 px
    e=np.zeros(a.shape[:2],bool)
    gx=np.sqrt(((np.roll(lab,-1,1)-np.roll(lab,1,1))**2).sum(2)); gy=np.sqrt(((np.roll(lab,-1,0)-np.roll(lab,1,0))**2).sum(2))
    e=np.maximum(gx,gy)>6
    e=ndi.binary_dilation(e,iterations=2)
    mx=a.max(2)
    ok=~e&(mx<250)&(mx>12)
    return lab[ok],ok.mean()
def moved(a,b):
    return max(max(min(de(x[0],y[0]) for y in b) for x in a),max(min(de(x[0],y[0]) for y in a) for x in b))
if __name__=='__main__':
    if not os.path.isdir(D): make()
    B=sys.argv[1]
    fs=sorted(f'{D}/{f}' for f in os.listdir(D))
    R=run_bin(B,fs)
    tot=[];cov=[]
    tab={}
    for f in names:
        b=f[:-4]
        o=[moved(R[f'{D}/{b}-whole.png'],R[f'{D}/{b}-{s}']) for s in ('half.png','q75.jpg','noise.png')]
        q=[moved(R[f'{D}/{b}-Q{k}-whole.png'],R[f'{D}/{b}-Q{k}-{s}']) for k in range(4) for s in ('half.png','q75.jpg','noise.png')]
        px,fr=unmixed(P+f)
        d=np.min([color.deltaE_ciede2000(px,np.array(t[0])[None]) for t in R[f'{D}/{b}-whole.png']],0)
        tab[b]=(o,q,(d>12).mean())
        print(f"{b[:34]:34} {'*' if b in bundled else ' '} n {len(R[f'{D}/{b}-whole.png'])} steady {np.round(o,1)} quarters {sum(x<=2 for x in q)}/12  unmixed {fr:.2f} >12: {100*(d>12).mean():.1f}% >7: {100*(d>7).mean():.0f}% mean {d.mean():.1f}", [ '%s %.0f'%('#%02x%02x%02x'%tuple(np.round(color.lab2rgb(np.array(t[0]))*255).astype(int)),100*t[1]) for t in R[f'{D}/{b}-whole.png']])
    bs=[x<=2 for b in bundled for x in tab[b][0]]; os_=[x<=2 for b in tab if b not in bundled for x in tab[b][0]]; qs=[x<=2 for b in tab for x in tab[b][1]]
    print(f'bundled steady {sum(bs)}/{len(bs)}; others {sum(os_)}/{len(os_)}; quarters {sum(qs)}/{len(qs)}; >12 mean {100*np.mean([tab[b][2] for b in tab]):.2f}% worst {100*max(tab[b][2] for b in tab):.1f}%')
