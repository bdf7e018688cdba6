//! A bench to work at: a folder of its own for each test, a small scene with a drawn photo, and the program run in it.
//! Whatever fails prints the command, the folder, the exit code and both streams.

#![expect(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::panic,
    reason = "tests lay out their own files here, and stop at the first thing that is not as it should be"
)]

use crate::pictures::{BRICK, SLATE, png, stripes};
use serde_json::Value;
use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::time::Duration;
use tempfile::TempDir;

/// A scene of one surface over the whole of one drawn photo: three quarters brick, one quarter slate.
const SCENE: &str = r#"title  = "Hop yard"
scale  = "1:87"
view   = "0.9 m"
paints = "paints.csv"

[photos.kiln]
file = "kiln.png"
from = "8 m"

[[surface]]
name   = "Kiln wall"
photo  = "kiln"
region = [[0, 0], [1, 0], [1, 1], [0, 1]]
area   = "310 cm2"
"#;

/// Invented paints.
const PAINTS: &str = "\
name,hex,medium,opacity,on_hand_ml,pot_ml,price
titanium white,#f2f1ec,acrylic,opaque,20,20,2.40
ivory black,#262524,acrylic,opaque,2,20,2.40
brick red,#93503d,acrylic,opaque,,20,2.40
yellow ochre,#bc9145,acrylic,semi-opaque,20,20,2.40
slate grey,#565b60,acrylic,opaque,0,20,2.40
olive green,#5d5f3a,acrylic,opaque,20,20,2.40
";

/// A run that takes longer is stopped and counts as failed: far beyond what any test here needs.
const PATIENCE: Duration = Duration::from_mins(2);

/// A folder of its own, gone when the test is over.
pub(crate) struct Workbench {
    folder: TempDir,
}

impl Workbench {
    /// An empty folder.
    pub(crate) fn new() -> Self {
        let folder = tempfile::Builder::new()
            .prefix("workbench-")
            .tempdir()
            .expect("a folder for temporary files");
        Self { folder }
    }

    /// A folder with `scene.toml`, `paints.csv` and `kiln.png`, which `plan` accepts.
    pub(crate) fn with_scene() -> Self {
        let bench = Self::new();
        bench.lay_scene(".");
        bench
    }

    /// The same with the scene in a folder `yard`, so that there is something outside the scene's folder.
    pub(crate) fn with_scene_in_yard() -> Self {
        let bench = Self::new();
        bench.lay_scene("yard");
        bench
    }

    fn lay_scene(&self, folder: &str) {
        self.write(&format!("{folder}/scene.toml"), SCENE);
        self.write(&format!("{folder}/paints.csv"), PAINTS);
        let photo = stripes(40, &[(BRICK, 60), (SLATE, 20)]);
        self.write(&format!("{folder}/kiln.png"), png(&photo));
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// What stands in every full path into this folder and nowhere else.
    pub(crate) fn mark(&self) -> String {
        self.folder
            .path()
            .file_name()
            .map(|name| name.to_string_lossy().into_owned())
            .expect("a temporary folder has a name")
    }

    pub(crate) fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        let path = self.path(name);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).expect("a folder can be made");
        }
        fs::write(&path, bytes).unwrap_or_else(|e| panic!("{name}: {e}"));
    }

    pub(crate) fn make_folder(&self, name: &str) {
        fs::create_dir_all(self.path(name)).expect("a folder can be made");
    }

    pub(crate) fn remove(&self, name: &str) {
        fs::remove_file(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
    }

    /// Copies the files of a folder, not its folders.
    pub(crate) fn copy_folder(&self, from: &Path, to: &str) {
        for entry in fs::read_dir(from).unwrap_or_else(|e| panic!("{}: {e}", from.display())) {
            let path = entry.expect("a folder can be read").path();
            if path.is_file() {
                let name = path
                    .file_name()
                    .unwrap_or_default()
                    .to_string_lossy()
                    .into_owned();
                self.write(
                    &format!("{to}/{name}"),
                    fs::read(&path).expect("a file can be read"),
                );
            }
        }
    }

    pub(crate) fn bytes(&self, name: &str) -> Vec<u8> {
        fs::read(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    pub(crate) fn text(&self, name: &str) -> String {
        String::from_utf8(self.bytes(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    pub(crate) fn json(&self, name: &str) -> Value {
        serde_json::from_str(&self.text(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    /// Changes one passage of a text file, which must be there.
    pub(crate) fn change(&self, name: &str, from: &str, to: &str) {
        let text = self.text(name);
        assert!(text.contains(from), "{name} holds no {from:?}:\n{text}");
        self.write(name, text.replacen(from, to, 1));
    }

    /// Everything in the folder by its name: folders end with a slash and hold nothing themselves.
    pub(crate) fn contents(&self) -> BTreeMap<String, Vec<u8>> {
        let mut found = BTreeMap::new();
        gather(self.folder.path(), "", &mut found);
        found
    }

    /// The names of everything in the folder, sorted.
    pub(crate) fn names(&self) -> Vec<String> {
        self.contents().into_keys().collect()
    }

    /// The program, to be started in this folder by other means than [`run`](Self::run).
    pub(crate) fn program(&self) -> std::process::Command {
        let mut program = std::process::Command::new(assert_cmd::cargo::cargo_bin!("hillwash"));
        program
            .current_dir(self.folder.path())
            .env("HILLWASH_CACHE", "")
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null());
        program
    }

    /// Runs the program in this folder.
    pub(crate) fn run<A: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = A>) -> Run {
        self.run_with(&[], arguments)
    }

    /// Runs the program in this folder without looking at what lies there afterwards: a pipe there would never end.
    pub(crate) fn run_alone<A: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = A>) -> Run {
        let output = assert_cmd::Command::new(assert_cmd::cargo::cargo_bin!("hillwash"))
            .current_dir(self.folder.path())
            .env("NO_COLOR", "1")
            .env("HILLWASH_CACHE", "")
            .timeout(PATIENCE)
            .args(arguments)
            .output()
            .expect("the program can be started");
        Run {
            command: "hillwash".to_owned(),
            listing: Vec::new(),
            output,
        }
    }

    /// Runs the program in this folder with some environment variables set.
    pub(crate) fn run_with<A: AsRef<OsStr>>(
        &self,
        variables: &[(&str, &str)],
        arguments: impl IntoIterator<Item = A>,
    ) -> Run {
        let arguments: Vec<A> = arguments.into_iter().collect();
        let output = assert_cmd::Command::new(assert_cmd::cargo::cargo_bin!("hillwash"))
            .current_dir(self.folder.path())
            .env("NO_COLOR", "1")
            .env("HILLWASH_CACHE", "")
            .env_remove("CLICOLOR_FORCE")
            .env_remove("SOURCE_DATE_EPOCH")
            .envs(variables.iter().copied())
            .timeout(PATIENCE)
            .args(&arguments)
            .output()
            .expect("the program can be started");
        let words: Vec<String> = arguments
            .iter()
            .map(|a| format!("{:?}", a.as_ref().to_string_lossy()))
            .collect();
        Run {
            command: format!("hillwash {}", words.join(" ")),
            listing: self
                .contents()
                .iter()
                .map(|(name, bytes)| format!("{name} ({} bytes)", bytes.len()))
                .collect(),
            output,
        }
    }
}

fn gather(folder: &Path, before: &str, found: &mut BTreeMap<String, Vec<u8>>) {
    for entry in fs::read_dir(folder).expect("a folder can be read") {
        let path = entry.expect("a folder can be read").path();
        let name = format!(
            "{before}{}",
            path.file_name().unwrap_or_default().to_string_lossy()
        );
        if path.is_dir() {
            let name = format!("{name}/");
            gather(&path, &name, found);
            found.insert(name, Vec::new());
        } else {
            found.insert(name, fs::read(&path).expect("a file can be read"));
        }
    }
}

/// What came of one run; shown whole where it is not as it should be.
pub(crate) struct Run {
    command: String,
    listing: Vec<String>,
    output: Output,
}

impl fmt::Display for Run {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "\ncommand: {}\nfolder afterwards:\n  {}\n{}\nstandard output:\n{}\nstandard error:\n{}\n",
            self.command,
            self.listing.join("\n  "),
            self.output.status,
            self.stdout(),
            self.stderr()
        )
    }
}

impl Run {
    pub(crate) fn stdout(&self) -> String {
        String::from_utf8_lossy(&self.output.stdout).into_owned()
    }

    pub(crate) fn stderr(&self) -> String {
        String::from_utf8_lossy(&self.output.stderr).into_owned()
    }

    /// The exit code.
    pub(crate) fn code(&self) -> Option<i32> {
        self.output.status.code()
    }

    /// It went well: exit code 0, and nothing is called an error.
    pub(crate) fn done(&self) -> &Self {
        assert_eq!(self.output.status.code(), Some(0), "{self}");
        assert!(!self.stderr().contains("error:"), "{self}");
        self
    }

    /// It was bad input: exit code 2, with an explanation and no trace of a panic.
    pub(crate) fn refused(&self) -> &Self {
        assert_eq!(self.output.status.code(), Some(2), "{self}");
        assert!(self.stderr().contains("error: "), "{self}");
        assert!(!self.stderr().contains("panicked"), "{self}");
        self
    }

    /// Standard error holds these words.
    pub(crate) fn tells(&self, words: &str) -> &Self {
        assert!(
            self.stderr().contains(words),
            "expected on standard error: {words}\n{self}"
        );
        self
    }

    /// Standard output holds these words.
    pub(crate) fn says(&self, words: &str) -> &Self {
        assert!(
            self.stdout().contains(words),
            "expected on standard output: {words}\n{self}"
        );
        self
    }

    /// Standard output as one JSON value and nothing else.
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.stdout()).unwrap_or_else(|e| panic!("{e}\n{self}"))
    }
}
