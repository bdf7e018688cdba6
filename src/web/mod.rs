//! The core in a browser: plain functions over its memory, which a worker of the page `hillwash.html` calls.
//!
//! The page's questions come in as they would over HTTP and go to the same desk; it reads files from the worker one
//! by one, and hands back what a question writes with its answer, so that the worker stores it whole or not at all. A
//! panic ends the core; the worker starts it again from the files it keeps.
//!
//! Built by `src/web/build.sh` for `wasm32-unknown-unknown` alone. It needs three functions from its host (`host.rs`)
//! and offers four.

mod desk;
mod files;
mod host;

use desk::{Core, Request};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// What came in, what goes out, and the desk.
static CORE: Mutex<Option<Core>> = Mutex::new(None);

fn core() -> MutexGuard<'static, Option<Core>> {
    CORE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Makes room for a request of this many bytes and says where. Its first line is the address, what follows the body.
#[expect(
    unsafe_code,
    reason = "the name of an exported function; its body is safe"
)]
#[unsafe(no_mangle)]
pub extern "C" fn room(bytes: usize) -> *mut u8 {
    crate::work::set_clock(host::now);
    core().get_or_insert_with(Core::default).room(bytes)
}

/// Answers the request and says how many bytes the answer takes.
#[expect(
    unsafe_code,
    reason = "the name of an exported function; its body is safe"
)]
#[unsafe(no_mangle)]
pub extern "C" fn ask() -> usize {
    let mut core = core();
    let core = core.get_or_insert_with(Core::default);
    let request = Request::from(core.taken());
    core.answer(&request)
}

/// Where the answer is. Its first line says in JSON what it is: status, kind, length, and the files that were
/// written, each with its length; then come the bytes of all of these.
#[expect(
    unsafe_code,
    reason = "the name of an exported function; its body is safe"
)]
#[unsafe(no_mangle)]
pub extern "C" fn answer() -> *const u8 {
    core().as_ref().map_or(std::ptr::null(), Core::out)
}

/// Lets go of the answer.
#[expect(
    unsafe_code,
    reason = "the name of an exported function; its body is safe"
)]
#[unsafe(no_mangle)]
pub extern "C" fn done() {
    if let Some(core) = core().as_mut() {
        core.done();
    }
}
