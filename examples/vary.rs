use hillwash::photo::{Limits, decode};
use hillwash::region::{Outline, Region};
use hillwash::tones::{Count, bins_and_windows, sorted};
use hillwash::colour::*;
fn main() {
    for arg in std::env::args().skip(1) {
        let (file, region) = arg.split_once('@').map_or((arg.as_str(), None), |(f, r)| (f, Some(r)));
        let picture = decode(&std::fs::read(file).unwrap(), &Limits::default()).unwrap().value;
        let region = region.map_or(Region::whole(), |r| {
            let n: Vec<f64> = r.split(',').map(|v| v.parse().unwrap()).collect();
            Region { outline: Outline::new(vec![[n[0], n[1]], [n[2], n[1]], [n[2], n[3]], [n[0], n[3]]]).unwrap(), ..Region::whole() }
        });
        let t = std::time::Instant::now();
        let (counted, windows) = bins_and_windows(&picture, &region, Count::Chosen);
        let t1 = t.elapsed();
        let tones = sorted(&counted.bins, Count::Chosen).unwrap().tones;
        let t = std::time::Instant::now();
        let v = windows.variety(&tones, hillwash::tones::Wish::AsSeen);
        let lab = |c: LabD65| format!("[{:.2},{:.2},{:.2}]", c.l, c.a, c.b);
        println!("{{\"file\":\"{file}\",\"tones\":[{}],\"shares\":{:?},\"spread\":{},\"tenths\":[{}],\"ms\":[{:.1},{:.1}]}}",
            tones.tones.iter().map(|t| lab(t.colour)).collect::<Vec<_>>().join(","),
            tones.tones.iter().map(|t| (t.share.value()*1000.).round()/1000.).collect::<Vec<_>>(),
            v.as_ref().map_or(0.0, |v| v.spread.0),
            v.as_ref().map_or(String::new(), |v| v.tenths.iter().map(|c| lab(*c)).collect::<Vec<_>>().join(",")),
            t1.as_secs_f64()*1e3, t.elapsed().as_secs_f64()*1e3);
    }
}
