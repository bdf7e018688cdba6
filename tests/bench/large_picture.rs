//! What benchmarks of photos share: a 24-megapixel picture, a stopwatch, peak memory.

use image::RgbImage;
use image::imageops::FilterType;
use std::path::Path;
use std::time::Instant;

pub(crate) const WIDTH: u32 = 6000;
pub(crate) const HEIGHT: u32 = 4000;

/// A sample photograph enlarged, with noise, as a JPEG.
pub(crate) fn jpeg() -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sample-photos/brewery-yard/woodland-stream-mossy-rocks.jpg");
    let small = image::load_from_memory(&std::fs::read(path).unwrap())
        .unwrap()
        .into_rgb8();
    let mut large: RgbImage = image::imageops::resize(&small, WIDTH, HEIGHT, FilterType::Triangle);
    let mut state = 1_u64;
    for value in large.iter_mut() {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let noise = i16::try_from((state >> 60) & 7).unwrap() - 3;
        *value = u8::try_from((i16::from(*value) + noise).clamp(0, 255)).unwrap();
    }
    let mut bytes = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, 90)
        .encode_image(&large)
        .unwrap();
    bytes
}

/// Counts seconds of the processor where the system tells them, so that other work on the machine counts for little;
/// else of the clock.
pub(crate) struct Stopwatch {
    processor: Option<f64>,
    clock: Instant,
}

impl Stopwatch {
    pub(crate) fn start() -> Self {
        Self {
            processor: processor_seconds(),
            clock: Instant::now(),
        }
    }

    pub(crate) fn seconds(&self) -> f64 {
        match (self.processor, processor_seconds()) {
            (Some(then), Some(now)) => now - then,
            _ => self.clock.elapsed().as_secs_f64(),
        }
    }
}

/// Time all threads of this process have had the processor, those that still live. Linux only.
fn processor_seconds() -> Option<f64> {
    let threads = std::fs::read_dir("/proc/self/task").ok()?;
    let told = threads.filter_map(|thread| {
        let told = std::fs::read_to_string(thread.ok()?.path().join("schedstat")).ok()?;
        told.split_whitespace().next()?.parse::<f64>().ok()
    });
    Some(1e-9 * told.sum::<f64>())
}

/// Peak resident memory of this process so far, megabytes. Linux only.
pub(crate) fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace()
        .nth(1)?
        .parse::<f64>()
        .ok()
        .map(|kb| kb / 1024.0)
}
