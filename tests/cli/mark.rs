//! `open`: the page of a layout, as something that answers on a port. What it looks like is checked in `tests/mark/`.

#![expect(
    clippy::expect_used,
    reason = "a test stops at the first thing that is not as it should be"
)]

use crate::workbench::Workbench;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::ops::Deref;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// Where the program answers.
#[derive(Clone)]
struct Door {
    port: String,
    token: String,
    cookie: String,
    /// The key that was used.
    key: String,
}

/// The program serving a bench's scene; stopped when dropped.
struct Served {
    child: Child,
    door: Door,
}

impl Deref for Served {
    type Target = Door;

    fn deref(&self) -> &Door {
        &self.door
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What came back.
struct Answer {
    status: u16,
    head: String,
    body: String,
}

impl Served {
    fn of(bench: &Workbench) -> Self {
        let mut child = Command::new(assert_cmd::cargo::cargo_bin!("hillwash"))
            .current_dir(bench.path(""))
            .args(["open", "scene.toml", "--no-browser"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program can be started");
        let mut line = String::new();
        BufReader::new(child.stdout.take().expect("a pipe"))
            .read_line(&mut line)
            .expect("an address");
        let rest = line
            .trim()
            .strip_prefix("http://127.0.0.1:")
            .expect("an address of this machine");
        let (port, key) = rest.split_once('/').expect("a key");
        let mut door = Door {
            port: port.to_owned(),
            token: String::new(),
            cookie: String::new(),
            key: format!("/{key}"),
        };
        // As a browser does: the key for a cookie and the way to the page.
        let opened = door.get(&door.key, &door.host());
        let between = |from: &str, to: &str| {
            let text = format!("{}\n{}", opened.head, opened.body);
            let rest = text.split_once(from).expect("the exchange").1;
            rest.split_once(to).expect("the exchange").0.to_owned()
        };
        door.cookie = between("set-cookie: ", ";");
        door.token = between("url=/", "/");
        Self { child, door }
    }
}

impl Door {
    /// Sends bytes as they are. A refusal may come before all of them are taken; where nobody answers, the status is 0.
    fn raw(&self, head: &str, body: &[u8]) -> Answer {
        let text = self.sent(head, body).unwrap_or_default();
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
        Answer {
            status: head
                .split(' ')
                .nth(1)
                .and_then(|status| status.parse().ok())
                .unwrap_or(0),
            head: head.to_lowercase(),
            body: body.to_owned(),
        }
    }

    fn sent(&self, head: &str, body: &[u8]) -> std::io::Result<String> {
        let mut stream = TcpStream::connect(format!("127.0.0.1:{}", self.port))?;
        stream.set_read_timeout(Some(Duration::from_mins(1)))?;
        stream.write_all(head.as_bytes())?;
        for block in body.chunks(1 << 16) {
            if stream.write_all(block).is_err() {
                break;
            }
        }
        let mut bytes = Vec::new();
        // What was answered before the connection broke counts.
        let _ = stream.read_to_end(&mut bytes);
        Ok(String::from_utf8_lossy(&bytes).into_owned())
    }

    fn get(&self, path: &str, host: &str) -> Answer {
        self.raw(
            &format!(
                "GET {path} HTTP/1.1\r\nhost: {host}\r\ncookie: {}\r\nconnection: close\r\n\r\n",
                self.cookie
            ),
            b"",
        )
    }

    fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    /// Asks as the page does.
    fn ask(&self, what: &str, mut question: Value) -> (u16, Value) {
        question["page"] = json!("test");
        let body = question.to_string();
        let host = self.host();
        let head = format!(
            "POST /{}/{what} HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\ncontent-type: application/json\r\n\
             cookie: {}\r\ncontent-length: {}\r\nconnection: close\r\n\r\n",
            self.token,
            self.cookie,
            body.len()
        );
        let answer = self.raw(&head, body.as_bytes());
        (
            answer.status,
            serde_json::from_str(&answer.body).unwrap_or(Value::Null),
        )
    }
}

/// The drawing of the bench's scene with its one outline changed.
fn drawing(name: &str, outline: &Value) -> Value {
    json!({
        "photos": [],
        "surfaces": [{
            "was": "Kiln wall", "name": name, "treatment": "coat",
            "parts": [{ "photo": "kiln", "outline": outline, "leave_out": [] }],
        }],
    })
}

#[test]
fn who_does_not_know_the_address_is_refused() {
    let bench = Workbench::with_scene();
    let served = Served::of(&bench);
    let (host, page) = (served.host(), format!("/{}/", served.token));
    assert_eq!(served.get(&page, &host).status, 200);
    for path in [
        "/",
        "/scene.toml",
        "/../scene.toml",
        "/%2e%2e/scene.toml",
        "/00000000000000000000000000000000/",
    ] {
        let refused = served.get(path, &host);
        assert_eq!(refused.status, 403, "{path}");
        assert!(!refused.body.contains("Kiln"), "{path}");
    }
    for path in ["../scene.toml", "scene.toml", "..%2fscene.toml"] {
        assert_eq!(
            served.get(&format!("{page}{path}"), &host).status,
            404,
            "{path}"
        );
    }
    for foreign in ["layout.example", "127.0.0.1", "127.0.0.1:1", ""] {
        assert_eq!(served.get(&page, foreign).status, 421, "{foreign}");
    }
    let outside = served.get(&format!("{page}view?photo=..%2fscene.toml"), &host);
    assert_eq!(outside.status, 422, "photos go by their names in the scene");
}

#[test]
fn an_address_opens_the_page_once_and_the_cookie_is_needed_then() {
    let bench = Workbench::with_scene();
    let served = Served::of(&bench);
    let (host, page) = (served.host(), format!("/{}/", served.token));
    assert_eq!(served.get(&served.key, &host).status, 403, "it was used");
    let bare = |path: &str, more: &str| {
        let head =
            format!("GET {path} HTTP/1.1\r\nhost: {host}\r\n{more}connection: close\r\n\r\n");
        served.raw(&head, b"").status
    };
    assert_eq!(bare(&page, ""), 403);
    assert_eq!(bare(&page, "cookie: hillwash=0\r\n"), 403);
    let cookie = format!("cookie: {}\r\n", served.cookie);
    assert_eq!(bare(&page, &cookie), 200);
    assert_eq!(
        bare(&page, &format!("{cookie}host: layout.example\r\n")),
        400
    );
    assert_eq!(bare(&format!("http://layout.example{page}"), &cookie), 400);
    assert_eq!(bare(&format!("http://{host}{page}"), &cookie), 200);
}

#[test]
fn half_open_connections_keep_nobody_waiting() {
    let bench = Workbench::with_scene();
    let served = Served::of(&bench);
    let crowd: Vec<TcpStream> = (0..300)
        .filter_map(|_| {
            let mut stream = TcpStream::connect(served.host()).ok()?;
            stream.write_all(b"GET / HTTP/1.1\r\n").ok()?;
            Some(stream)
        })
        .collect();
    let begun = std::time::Instant::now();
    assert_eq!(served.ask("hello", json!({})).0, 200);
    assert!(begun.elapsed() < Duration::from_secs(5));
    let left = crowd
        .iter()
        .filter(|stream| {
            let mut byte = [0];
            let _ = stream.set_read_timeout(Some(Duration::from_millis(20)));
            // Who is still let in hears nothing; who was sent away hears the end.
            matches!((&mut &**stream).read(&mut byte), Err(error) if matches!(error.kind(), std::io::ErrorKind::WouldBlock | std::io::ErrorKind::TimedOut))
        })
        .count();
    assert!(left <= 40, "{left} half-open connections are kept");
}

#[test]
fn a_scene_that_was_taken_away_is_written_anew() {
    let bench = Workbench::with_scene();
    let served = Served::of(&bench);
    let (_, scene) = served.ask("hello", json!({}));
    bench.remove("scene.toml");
    let outline = json!([[0.1, 0.1], [0.9, 0.1], [0.9, 0.75]]);
    let (status, told) = served.ask(
        "save",
        json!({ "base": scene["digest"], "drawing": drawing("Kiln wall", &outline) }),
    );
    assert_eq!(status, 200, "{told}");
    assert!(bench.text("scene.toml").contains("0.75"));
}

#[test]
fn answers_may_not_be_used_by_other_pages() {
    let bench = Workbench::with_scene();
    let served = Served::of(&bench);
    let answer = served.get(&format!("/{}/", served.token), &served.host());
    for line in [
        "content-security-policy: default-src 'none'; script-src 'self';",
        "x-content-type-options: nosniff",
        "referrer-policy: no-referrer",
        "cache-control: no-store",
        "cross-origin-resource-policy: same-origin",
    ] {
        assert!(answer.head.contains(line), "{line}\n{}", answer.head);
    }
    assert!(!answer.head.contains("access-control"), "{}", answer.head);
    let host = served.host();
    let head = format!(
        "POST /{}/hello HTTP/1.1\r\nhost: {host}\r\norigin: http://layout.example\r\ncontent-type: application/json\r\n\
         cookie: {}\r\ncontent-length: 14\r\nconnection: close\r\n\r\n",
        served.token, served.cookie
    );
    assert_eq!(served.raw(&head, b"{\"page\":\"test\"}").status, 403);
}

#[test]
fn a_hundred_megabytes_are_refused() {
    let bench = Workbench::with_scene();
    let served = Served::of(&bench);
    let host = served.host();
    let large = vec![b' '; 100 << 20];
    for (path, status) in [
        (format!("/{}/save", served.token), 413),
        ("/save".to_owned(), 403),
    ] {
        let head = format!(
            "POST {path} HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\ncontent-type: application/json\r\n\
             cookie: {}\r\ncontent-length: {}\r\nconnection: close\r\n\r\n",
            served.cookie,
            large.len()
        );
        assert_eq!(served.raw(&head, &large).status, status, "{path}");
    }
    assert_eq!(served.ask("hello", json!({})).0, 200, "it still serves");
}

#[test]
fn a_drawing_is_saved_with_every_comment_kept() {
    let bench = Workbench::with_scene();
    bench.change(
        "scene.toml",
        "[[surface]]",
        "# the kiln, from the yard\n[[surface]]   # first",
    );
    let before = bench.text("scene.toml");
    let served = Served::of(&bench);
    let (_, scene) = served.ask("hello", json!({}));
    let outline = json!([[0.1, 0.1], [0.9, 0.1], [0.9, 0.75]]);
    let (status, told) = served.ask(
        "save",
        json!({ "base": scene["digest"], "drawing": drawing("Kiln wall", &outline) }),
    );
    assert_eq!(status, 200, "{told}");
    let old = "region = [[0, 0], [1, 0], [1, 1], [0, 1]]";
    let new = "region = [[0.1, 0.1], [0.9, 0.1], [0.9, 0.75]]";
    assert_eq!(bench.text("scene.toml"), before.replace(old, new));
    bench.run(["plan", "scene.toml"]).done();
}

#[cfg(unix)]
#[test]
fn a_folder_whose_scene_is_a_link_to_elsewhere_is_not_opened() {
    let bench = Workbench::with_scene();
    bench.make_folder("layout");
    std::os::unix::fs::symlink(bench.path("scene.toml"), bench.path("layout/scene.toml"))
        .expect("a link");
    bench
        .run(["open", "layout", "--no-browser"])
        .refused()
        .tells("a scene that lies in this folder itself");
}

#[cfg(unix)]
#[test]
fn a_drawing_is_not_kept_through_a_link_to_another_file() {
    let bench = Workbench::with_scene();
    bench.write("another file", "its own");
    std::os::unix::fs::symlink(
        bench.path("another file"),
        bench.path("scene.toml.unsaved.json"),
    )
    .expect("a link");
    let served = Served::of(&bench);
    let (_, scene) = served.ask("hello", json!({}));
    assert_eq!(scene["drafts"], json!([]), "nor is it read");
    let outline = json!([[0.1, 0.1], [0.9, 0.1], [0.9, 0.75]]);
    let draft =
        json!({ "base": scene["digest"], "at": "now", "drawing": drawing("Kiln wall", &outline) });
    let (status, told) = served.ask("keep", json!({ "draft": draft }));
    assert_eq!(status, 422, "{told}");
    assert_eq!(bench.text("another file"), "its own");
}

#[test]
fn a_file_that_changed_meanwhile_is_left_alone_until_the_user_decides() {
    let bench = Workbench::with_scene();
    let served = Served::of(&bench);
    let (_, scene) = served.ask("hello", json!({}));
    bench.change("scene.toml", "310 cm2", "290 cm2");
    let theirs = bench.text("scene.toml");
    let outline = json!([[0.1, 0.1], [0.9, 0.1], [0.9, 0.75]]);
    let mut wish = json!({ "base": scene["digest"], "drawing": drawing("Kiln wall", &outline) });
    assert_eq!(served.ask("save", wish.clone()).0, 409);
    assert_eq!(bench.text("scene.toml"), theirs);
    let (_, told) = served.ask("alive", json!({ "unsaved": true, "base": scene["digest"] }));
    assert_eq!(told["changed"], true);
    wish["over"] = json!(true);
    assert_eq!(served.ask("save", wish).0, 200);
    let both = bench.text("scene.toml");
    assert!(both.contains("290 cm2") && both.contains("0.75"), "{both}");
}

#[test]
fn a_killed_server_leaves_the_scene_whole() {
    let bench = Workbench::with_scene();
    for round in 0..3_u64 {
        let mut served = Served::of(&bench);
        let door = served.door.clone();
        let saving = std::thread::spawn(move || {
            (0..u32::MAX)
                .take_while(|n| {
                    let x = 0.2 + 0.0001 * f64::from(n % 5000);
                    let outline = json!([[0.1, 0.1], [0.9, 0.1], [x, 0.75]]);
                    let wish = json!({ "base": "", "over": true, "drawing": drawing("Kiln wall", &outline) });
                    door.ask("save", wish).0 == 200
                })
                .count()
        });
        std::thread::sleep(Duration::from_millis(300 + 70 * round));
        served.child.kill().expect("it is running");
        let saves = saving.join().expect("it only asks");
        assert!(saves > 3, "only {saves} saves before the kill");
        bench.run(["plan", "scene.toml"]).done();
    }
}

#[test]
fn tones_and_mixes_of_an_outline_are_those_of_the_plan() {
    let bench = Workbench::with_scene();
    let served = Served::of(&bench);
    served.ask("hello", json!({}));
    let outline = json!([[0, 0], [1, 0], [1, 1], [0, 1]]);
    let (status, told) = served.ask(
        "tones",
        json!({ "number": 1, "tones": null, "parts": [{ "photo": "kiln", "outline": outline, "leave_out": [] }] }),
    );
    assert_eq!(status, 200, "{told}");
    bench.run(["plan", "scene.toml"]).done();
    let plan = bench.json("schedule/plan.json");
    let planned = plan["surfaces"][0]["tones"].as_array().expect("tones");
    let drawn = told["tones"].as_array().expect("tones");
    assert_eq!(drawn.len(), planned.len());
    let colours: Vec<&Value> = drawn.iter().map(|tone| &tone["planned"]).collect();
    let (_, mixes) = served.ask("recipes", json!({ "number": 1, "colours": colours }));
    for ((drawn, planned), mix) in drawn
        .iter()
        .zip(planned)
        .zip(mixes["recipes"].as_array().expect("mixes"))
    {
        assert_eq!(drawn["hex"], planned["hex"]);
        assert_eq!(drawn["planned_hex"], planned["planned"]["hex"]);
        let parts = |recipe: &Value| -> Vec<(Value, Option<f64>)> {
            let paints = recipe["paints"].as_array().expect("paints");
            let part = |paint: &Value| (paint["name"].clone(), paint["parts"].as_f64());
            paints.iter().map(part).collect()
        };
        if drawn["left_to_lamps"] == false {
            assert_eq!(parts(mix), parts(&planned["recipes"][0]));
        }
    }
}

#[test]
fn an_overtaken_question_gets_no_answer() {
    let bench = Workbench::with_scene();
    let served = Served::of(&bench);
    served.ask("hello", json!({}));
    let colour = |number: u64| {
        let at = json!({ "number": number, "photo": "kiln", "at": [0.5, 0.5] });
        served.ask("colour", at).0
    };
    assert_eq!(colour(2), 200);
    assert_eq!(colour(1), 204);
}

#[test]
fn what_cannot_be_opened_is_told() {
    let bench = Workbench::with_scene();
    bench
        .run(["open", "missing.toml", "--no-browser"])
        .refused()
        .tells("missing.toml");
    bench.change("scene.toml", "scale  =", "scael  =");
    bench
        .run(["open", "scene.toml", "--no-browser"])
        .refused()
        .tells("did you mean \"scale\"");
}
