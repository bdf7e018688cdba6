# Judges tones of the drawn walls and scenes: tones_judge.py PROGRAM FOLDER [-v].
import json,sys,subprocess,numpy as np
from skimage import color
def de(a,b): return float(color.deltaE_ciede2000(np.array(a,float),np.array(b,float)))
def run_bin(b,files):
    out={}
    for i in range(0,len(files),40):
        j=json.loads(subprocess.run([b,'look','--json',*files[i:i+40]],capture_output=True,text=True).stdout)
        for p in j['photos']: out[p['file']]=[(t['lab'],t['share']) for t in p['tones']]
    return out
def score(T,res,verbose=False):
    W5=W8=0;nw=0;nb=0;fb=0;cw=[];num=0;n1=0;ns=0;cols=[];acc=0;na=0;blend=0;brick=[];nwt=[]
    shares=0
    for t in T:
        r=res[t['file']]
        if t['kind']=='wall':
            d=[de(t['joint'],x[0]) for x in r]; nw+=1
            # joint must be told apart: another tone nearer the body
            b=min(range(len(r)),key=lambda i:de(t['body'],r[i][0])); j=int(np.argmin(d))
            m=d[j] if j!=b else 99
            W5+=m<=5;W8+=m<=8; brick.append(de(t['body'],r[b][0])); nwt.append(len(r))
            if verbose and (m>5 or len(r)!=2): print('wall',t['file'],'off %.1f'%m,'n',len(r),'jw %.1f area %.2f de %.1f var %.2f grain %.2f q %d'%(t['jw'],t['area'],t['de'],t['var'],t['grain'],t['q']),[(np.round(x[0]).tolist(),round(x[1],2)) for x in r],'body',np.round(t['body']),'joint',np.round(t['joint']))
        elif t['kind']=='bare':
            nb+=1; fb+=len(r)>1
            if verbose and len(r)>1: print('bare',t['file'],len(r),'var %.2f grain %.2f'%(t['var'],t['grain']),[(np.round(x[0]).tolist(),round(x[1],2)) for x in r])
        else:
            ns+=1; k=len(t['truth']); num+=len(r)==k; n1+=abs(len(r)-k)<=1
            c=[min(de(m['lab'],x[0]) for x in r) for i,m in enumerate(t['truth'])]
            cols+=[x for i,x in enumerate(c) if i!=t['acc']]
            if t['acc'] is not None: na+=1; acc+=c[t['acc']]<=2.5
            so=max(abs(m['share']-min(r,key=lambda x:de(m['lab'],x[0]))[1]) for m in t['truth']); shares+=so<=.02
            if verbose and (len(r)!=k or max(c)>2): print(t['file'],len(r),'of',k,'style',t['style'],'grain %.2f lo %.2f'%(t['grain'],t['lo']),'cols',np.round(c,1),'extra',[(np.round(x[0]).tolist(),round(x[1],3),round(min(de(m['lab'],x[0]) for m in t['truth']),1)) for x in r if min(de(m['lab'],x[0]) for m in t['truth'])>3])
    if nw: print(f'walls: joint<=5 {W5}/{nw}  <=8 {W8}/{nw}; body med {np.median(brick):.2f}; tones mean {np.mean(nwt):.2f}, two in {sum(x==2 for x in nwt)}; bare false second {fb}/{nb}')
    if ns: print(f'scenes: number {num}/{ns} within one {n1}/{ns}; colours med {np.median(cols):.2f} 95th {np.percentile(cols,95):.2f}; accents {acc}/{na}; shares within 2pt {shares}/{ns}')
if __name__=='__main__':
    T=json.load(open(sys.argv[2]+'/truth.json'))
    score(T,run_bin(sys.argv[1],[t['file'] for t in T]),'-v' in sys.argv)
