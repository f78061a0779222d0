//! Checked flows that are kept: the same flow comes back, and never one of other files, of another build, or damaged.

use std::fs;
use std::path::Path;

use casepan::desk::Checked;
use casepan::flow::{embedded, embedded_sources, kept, load};
use casepan::ronfile::Source;

/// The shipped files with one question asked nowhere, which is worth a warning.
fn with_a_warning() -> Vec<Source> {
    let mut sources = embedded_sources();
    let head = sources.iter().position(|own| own.name() == "flow.ron");
    let head = head.unwrap();
    let text = sources[head].text().to_owned();
    let asks = text.match_indices("Ask(\"");
    let without = |(at, _): (usize, &str)| {
        let end = at + text[at..].find("),").unwrap_or_default() + 2;
        let mut sources = sources.clone();
        sources[head] = Source::new("flow.ron", format!("{}{}", &text[..at], &text[end..]));
        let loaded = load(sources.clone());
        (loaded.flow.is_some() && !loaded.problems.is_empty()).then_some(sources)
    };
    let found: Option<Vec<Source>> = asks.filter_map(without).next();
    sources = found.unwrap();
    sources
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let names = entries.map(|own| own.unwrap().file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = names.collect();
    names.sort();
    names
}

#[test]
fn a_kept_flow_is_the_one_that_was_checked() {
    let loaded = embedded();
    let text = kept::to_text(&loaded, "a build").unwrap();
    let again = kept::from_text(&text, "a build", embedded_sources()).unwrap();
    assert!(again.flow.is_some() && again.problems.is_empty());
    assert_eq!(again.flow, loaded.flow);
    let texts =
        |all: &[Source]| -> Vec<String> { all.iter().map(|s| s.text().to_owned()).collect() };
    assert_eq!(texts(&again.sources), texts(&loaded.sources));
}

#[test]
fn what_is_of_another_build_or_other_files_or_damaged_is_not_taken() {
    let text = kept::to_text(&embedded(), "a build").unwrap();
    let taken = |text: &str, build: &str, sources| kept::from_text(text, build, sources).is_some();
    assert!(taken(&text, "a build", embedded_sources()));
    assert!(!taken(&text, "another build", embedded_sources()));
    let mut other = embedded_sources();
    let last = other.len() - 1;
    other[last] = Source::new(other[last].name(), format!("{}\n", other[last].text()));
    assert!(!taken(&text, "a build", other));
    // A limit that reads 4.0 instead of 3.0 is still a flow, but nobody has checked it.
    let digits: Vec<usize> = text.match_indices('3').map(|(at, _)| at).collect();
    for at in digits.iter().step_by(digits.len() / 40) {
        let changed = format!("{}4{}", &text[..*at], &text[at + 1..]);
        assert!(!taken(&changed, "a build", embedded_sources()), "{at}");
    }
    for cut in [0, 10, 100, text.len() / 2, text.len() - 1] {
        assert!(!taken(&text[..cut], "a build", embedded_sources()), "{cut}");
    }
}

#[test]
fn what_was_said_of_a_flow_is_said_each_time() {
    let directory = tempfile::tempdir().unwrap();
    let folder = directory.path().join("flows");
    let checked = Checked::in_folder(Some(folder.clone()));
    let sources = with_a_warning();
    for _ in 0..2 {
        assert!(!checked.load(sources.clone()).problems.is_empty());
    }
    let broken = vec![Source::new("flow.ron", "Flow(")];
    assert!(checked.load(broken).flow.is_none());
    assert!(!folder.exists());
}

#[test]
fn a_folder_of_kept_flows_may_be_damaged_full_or_gone() {
    let directory = tempfile::tempdir().unwrap();
    let folder = directory.path().join("flows");
    let checked = Checked::in_folder(Some(folder.clone()));
    let wanted = embedded().flow;
    assert_eq!(checked.load(embedded_sources()).flow, wanted);
    let [name] = names(&folder).try_into().unwrap();
    let file = folder.join(name);
    let text = fs::read_to_string(&file).unwrap();
    assert_eq!(checked.load(embedded_sources()).flow, wanted);
    // Damaged, it is made anew.
    fs::write(&file, text.replacen("\"levels\"", "\"livels\"", 1)).unwrap();
    assert_eq!(checked.load(embedded_sources()).flow, wanted);
    assert_eq!(fs::read_to_string(&file).unwrap(), text);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        assert_eq!(fs::metadata(&file).unwrap().permissions().mode() & 0o77, 0);
    }
    // What is far too large, or never ends, is not read.
    fs::File::create(&file).unwrap().set_len(1 << 33).unwrap();
    assert_eq!(checked.load(embedded_sources()).flow, wanted);
    #[cfg(unix)]
    {
        fs::remove_file(&file).unwrap();
        std::os::unix::fs::symlink("/dev/zero", &file).unwrap();
        assert_eq!(checked.load(embedded_sources()).flow, wanted);
    }
    assert_eq!(fs::read_to_string(&file).unwrap(), text);
    // Of many only the last few stay.
    for index in 0..12 {
        let mut sources = embedded_sources();
        sources[0] = Source::new(
            sources[0].name(),
            format!("{}// {index}\n", sources[0].text()),
        );
        assert!(checked.load(sources).flow.is_some());
    }
    assert_eq!(names(&folder).len(), 8);
    fs::remove_dir_all(&folder).unwrap();
    // Where a file stands in the way, it is checked each time.
    fs::write(&folder, "in the way").unwrap();
    assert_eq!(checked.load(embedded_sources()).flow, wanted);
    assert_eq!(Checked::default().load(embedded_sources()).flow, wanted);
}

#[test]
fn a_flow_that_was_changed_is_taken_as_it_is_now() {
    let directory = tempfile::tempdir().unwrap();
    let checked = Checked::in_folder(Some(directory.path().join("flows")));
    let mut sources = embedded_sources();
    let first = checked.load(sources.clone()).flow.unwrap();
    let head = sources.iter().position(|own| own.name() == "flow.ron");
    let head = head.unwrap();
    let text = sources[head]
        .text()
        .replacen("title: \"", "title: \"Our own, ", 1);
    sources[head] = Source::new("flow.ron", text);
    for _ in 0..2 {
        let second = checked.load(sources.clone()).flow.unwrap();
        assert!(second.title.starts_with("Our own, ") && !first.title.starts_with("Our own, "));
        assert_ne!(second.digest, first.digest);
    }
}
