//! What the core needs from its host: the time, and the layout's files.

use std::time::Duration;

mod page {
    #[expect(
        unsafe_code,
        reason = "functions of the worker; they are given places in this memory and write no further than they are told"
    )]
    #[link(wasm_import_module = "page")]
    unsafe extern "C" {
        /// Milliseconds since some moment.
        pub(super) safe fn now() -> f64;
        /// Bytes of a file of the layout by its name; below 0 where there is none.
        pub(super) safe fn size(name: *const u8, length: usize) -> f64;
        /// Copies a file of this many bytes to a place; 0 where that went well.
        pub(super) safe fn read(name: *const u8, length: usize, to: *mut u8, bytes: usize) -> u32;
    }
}

/// The time since some moment.
pub(super) fn now() -> Duration {
    Duration::try_from_secs_f64(page::now() / 1e3).unwrap_or_default()
}

/// Bytes of a file; `None` where there is none.
pub(super) fn size(name: &str) -> Option<u64> {
    let size = page::size(name.as_ptr(), name.len());
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number of bytes, not below 0"
    )]
    (size >= 0.0).then_some(size as u64)
}

/// A file's bytes; `None` where they cannot be read.
pub(super) fn read(name: &str) -> Option<Vec<u8>> {
    let bytes = usize::try_from(size(name)?).ok()?;
    let mut content = Vec::new();
    content.try_reserve_exact(bytes).ok()?;
    content.resize(bytes, 0);
    (page::read(name.as_ptr(), name.len(), content.as_mut_ptr(), bytes) == 0).then_some(content)
}
