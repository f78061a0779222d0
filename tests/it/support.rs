//! Runs the real program in an environment of its own: no variable, no directory of the person who runs the tests.

#[cfg(unix)]
pub(crate) mod pty;

use std::io::{Read, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

/// How long anything may take that takes well under a second on an idle machine.
pub(crate) const PATIENCE: Duration = Duration::from_secs(30);

/// What a run of the program left.
#[derive(Debug)]
pub(crate) struct Output {
    /// The exit code; none where a signal ended it.
    pub(crate) code: Option<i32>,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

/// A home directory that only one test knows.
pub(crate) struct Home {
    directory: TempDir,
    variables: Vec<(String, String)>,
}

impl Home {
    pub(crate) fn new() -> Home {
        let directory = tempfile::tempdir().unwrap();
        let below = |name: &str| directory.path().join(name).display().to_string();
        let mut variables = vec![
            ("HOME".to_owned(), directory.path().display().to_string()),
            ("TMPDIR".to_owned(), below("tmp")),
            ("TERM".to_owned(), "xterm-256color".to_owned()),
            ("COLUMNS".to_owned(), "100".to_owned()),
            ("TZ".to_owned(), "UTC".to_owned()),
        ];
        for (variable, name) in [
            ("XDG_DATA_HOME", "data"),
            ("XDG_CONFIG_HOME", "config"),
            ("XDG_CACHE_HOME", "cache"),
            ("XDG_STATE_HOME", "state"),
        ] {
            variables.push((variable.to_owned(), below(name)));
        }
        std::fs::create_dir(directory.path().join("tmp")).unwrap();
        Home {
            directory,
            variables,
        }
    }

    /// Adds a variable to the environment.
    #[must_use]
    pub(crate) fn with(mut self, name: &str, value: &str) -> Home {
        self.variables.push((name.to_owned(), value.to_owned()));
        self
    }

    /// Returns a path inside.
    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.directory.path().join(name)
    }

    pub(crate) fn root(&self) -> &Path {
        self.directory.path()
    }

    pub(crate) fn variables(&self) -> &[(String, String)] {
        &self.variables
    }

    /// Writes a file inside; returns its path.
    pub(crate) fn file(&self, name: &str, content: impl AsRef<[u8]>) -> String {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, content).unwrap();
        path.display().to_string()
    }

    /// Returns a command in this environment, without a terminal.
    pub(crate) fn command(&self, program: &str) -> Command {
        let mut command = Command::new(program);
        command
            .env_clear()
            .envs(self.variables.iter().cloned())
            .current_dir(self.root())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        command
    }

    /// Runs the program.
    #[track_caller]
    pub(crate) fn run(&self, args: &[&str]) -> Output {
        finish(self.command(env!("CARGO_BIN_EXE_casepan")).args(args), None)
    }

    /// Runs the program with something on its standard input.
    #[track_caller]
    pub(crate) fn run_with(&self, args: &[&str], input: &[u8]) -> Output {
        finish(
            self.command(env!("CARGO_BIN_EXE_casepan"))
                .args(args)
                .stdin(Stdio::piped()),
            Some(input.to_vec()),
        )
    }

    /// Runs a line of shell in which `$casepan` is the program.
    #[cfg(unix)]
    #[track_caller]
    pub(crate) fn shell(&self, line: &str) -> Output {
        let path = std::env::var("PATH").unwrap_or_default();
        finish(
            self.command("/bin/sh")
                .env("PATH", path)
                .env("casepan", env!("CARGO_BIN_EXE_casepan"))
                .args(["-c", line]),
            None,
        )
    }
}

/// Waits for a command to end, but not for ever.
#[track_caller]
fn finish(command: &mut Command, input: Option<Vec<u8>>) -> Output {
    let mut child = command.spawn().unwrap();
    if let (Some(mut stdin), Some(input)) = (child.stdin.take(), input) {
        // The program may end before it has read everything.
        std::thread::spawn(move || drop(stdin.write_all(&input)));
    }
    let read = |mut stream: Box<dyn Read + Send>| {
        std::thread::spawn(move || {
            let mut bytes = Vec::new();
            stream.read_to_end(&mut bytes).unwrap();
            String::from_utf8(bytes).unwrap()
        })
    };
    let stdout = child.stdout.take().map(|stream| read(Box::new(stream)));
    let stderr = child.stderr.take().map(|stream| read(Box::new(stream)));
    let deadline = Instant::now() + PATIENCE;
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        if Instant::now() > deadline {
            child.kill().unwrap();
            panic!("{command:?} did not end within {PATIENCE:?}");
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    let text = |thread: Option<std::thread::JoinHandle<String>>| {
        thread.map_or_else(String::new, |thread| thread.join().unwrap())
    };
    Output {
        code: status.code(),
        stdout: text(stdout),
        stderr: text(stderr),
    }
}
