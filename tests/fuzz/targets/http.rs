//! Any bytes as a request to the page's server: who does not know its key is let in nowhere, and the server goes on.
#![no_main]

use hillwash::server::{OpenedFolder, Served};
use libfuzzer_sys::fuzz_target;
use std::io::{Read, Write};
use std::net::{Shutdown, TcpStream};
use std::sync::LazyLock;
use std::time::Duration;

const PAINTS: &[u8] = b"name,hex\nwhite,#f2f1ec\nblack,#262524\n";

/// The port of a server that runs as long as the target does, over an empty folder.
static PORT: LazyLock<u16> = LazyLock::new(|| {
    let folder = std::env::temp_dir().join(format!("hillwash-http-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let layout = OpenedFolder::at_path(&folder, PAINTS).expect("a layout");
    let served = Served::open(layout, Duration::from_secs(86_400)).expect("a server");
    let address = served.address().expect("an address");
    let port = address
        .split([':', '/'])
        .find_map(|part| part.parse().ok())
        .expect("a port");
    std::thread::spawn(move || served.serve(|_| ()));
    port
});

fuzz_target!(|bytes: &[u8]| {
    let port = *PORT;
    let Ok(mut stream) = TcpStream::connect(("127.0.0.1", port)) else {
        return;
    };
    let wait = Some(Duration::from_secs(10));
    stream.set_read_timeout(wait).expect("a time to wait");
    // In requests of the corpus the port stands as PORT.
    let text = String::from_utf8_lossy(bytes);
    let request = if text.contains("PORT") {
        text.replace("PORT", &port.to_string()).into_bytes()
    } else {
        bytes.to_vec()
    };
    if stream.write_all(&request).is_err() || stream.shutdown(Shutdown::Write).is_err() {
        return;
    }
    let mut answer = Vec::new();
    if stream.read_to_end(&mut answer).is_err() || answer.is_empty() {
        return;
    }
    let status = answer.get(9..12).unwrap_or_default();
    assert!(
        answer.starts_with(b"HTTP/1.") && !status.starts_with(b"2"),
        "let in: {answer:?}"
    );
});
