//! The archive is gone while it is open: what the session wrote is in a file, and the person is told which.

use std::path::PathBuf;

use super::{Lab, Person, two};
use crate::made::spot;
use casepan::session::NotSaved;

/// The files that were made beside the archive.
fn saved(lab: &Lab) -> Vec<PathBuf> {
    let all = std::fs::read_dir(lab.directory.path()).expect("a folder");
    let files = all.map(|entry| entry.expect("an entry").path());
    files
        .filter(|path| path.extension().is_some_and(|ending| ending == "jsonl"))
        .collect()
}

#[track_caller]
fn is_told(lab: &Lab, b1: &Person) -> PathBuf {
    let files = saved(lab);
    let [file] = files.as_slice() else {
        panic!("one file: {files:?}");
    };
    let notice = b1.notice();
    assert!(notice.contains("is gone"), "{notice}");
    assert!(notice.contains(&file.display().to_string()), "{notice}");
    assert!(matches!(
        b1.desk.session.not_saved,
        Some(NotSaved::Aside(_))
    ));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = std::fs::metadata(file).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
    }
    file.clone()
}

#[test]
fn what_was_written_is_saved_beside_an_archive_that_is_gone() {
    type Harm = fn(&std::path::Path);
    let harms: [Harm; 4] = [
        |path| std::fs::remove_file(path).unwrap(),
        |path| std::fs::rename(path, path.with_extension("elsewhere")).unwrap(),
        |path| {
            let other = path.with_extension("other");
            std::fs::copy(path, &other).unwrap();
            std::fs::rename(&other, path).unwrap();
        },
        |path| {
            let file = std::fs::File::create(path).unwrap();
            file.set_len(0).unwrap();
        },
    ];
    for (count, harm) in harms.into_iter().enumerate() {
        let (mut lab, mut b1, b2) = two();
        drop(b2);
        lab.keys(&mut b1, "3.5 enter");
        harm(&lab.directory.path().join("a.casepan"));
        assert!(lab.tick(&mut b1), "{count}");
        let file = is_told(&lab, &b1);
        assert!(!lab.tick(&mut b1), "it is told once");
        // What comes after goes into the file as well, and nothing is said to be kept.
        b1.at("tooth.width_margin_md", "26");
        lab.keys(&mut b1, "8.9 enter");
        let text = std::fs::read_to_string(&file).expect("the file");
        assert!(
            text.contains("tooth.height") && text.contains("tooth.width_margin_md"),
            "{text}"
        );
        assert!(b1.desk.has_lost_archive());
        b1.desk.leave().expect_err("the archive is gone");
        // The file is read as a journal.
        let read = casepan::case::journal::file::read(&text).expect("a journal");
        let read = casepan::case::journal::fold(&read.journal).expect("a case");
        for (fact, value) in [("tooth.height", 3.5), ("tooth.width_margin_md", 8.9)] {
            let own = read
                .merged(&spot(fact, "26"))
                .expect("an answer")
                .1
                .value
                .clone();
            assert_eq!(own, crate::made::mm(value));
        }
    }
}

#[test]
fn the_answer_that_finds_the_archive_gone_is_in_the_file() {
    let (mut lab, mut b1, b2) = two();
    drop(b2);
    std::fs::remove_file(lab.directory.path().join("a.casepan")).unwrap();
    lab.keys(&mut b1, "3.5 enter");
    let file = is_told(&lab, &b1);
    let text = std::fs::read_to_string(file).expect("the file");
    assert!(text.contains("tooth.height"), "{text}");
}

#[test]
fn a_session_that_wrote_nothing_leaves_no_file() {
    let (mut lab, mut b1, b2) = two();
    drop(b2);
    std::fs::remove_file(lab.directory.path().join("a.casepan")).unwrap();
    lab.tick(&mut b1);
    assert!(saved(&lab).is_empty());
    assert!(b1.notice().contains("is gone"), "{}", b1.notice());
}

#[test]
fn where_nothing_can_be_written_beside_it_the_folder_of_prints_has_it() {
    let (mut lab, mut b1, b2) = two();
    drop(b2);
    lab.keys(&mut b1, "3.5 enter");
    let elsewhere = tempfile::tempdir().unwrap();
    b1.desk
        .prints_for(Default::default(), Some(elsewhere.path().to_owned()));
    std::fs::remove_dir_all(lab.directory.path()).unwrap();
    lab.tick(&mut b1);
    let files = std::fs::read_dir(elsewhere.path()).unwrap().count();
    assert_eq!(files, 1, "{}", b1.notice());
}
