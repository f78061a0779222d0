use std::collections::BTreeSet;
use std::fs;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread;

use casepan::archive::{Archive, ArchiveError, Trouble};
use casepan::case::journal::Entry;

use super::support::{answer, case, new_archive, opened};

/// Ends another thread's loop, also when a check fails before it would.
struct Stop<'a>(&'a AtomicBool);

impl Drop for Stop<'_> {
    fn drop(&mut self) {
        self.0.store(true, Ordering::SeqCst);
    }
}

/// Appends one answer to a case that others write to as well.
fn append_among_others(archive: &mut Archive, number: &str) -> Entry {
    let mut next = answer(0, 2.0);
    loop {
        match archive.append(number, std::slice::from_ref(&next)) {
            Ok(_) => return next,
            Err(ArchiveError::Moved { has, .. }) => next.seen = has,
            Err(error) => panic!("{error}"),
        }
    }
}

#[test]
fn two_handles_take_turns() {
    let (_directory, path) = new_archive();
    let mut handles = [Archive::open(&path).unwrap(), Archive::open(&path).unwrap()];
    let entries = case("1", 40);
    for (turn, entry) in entries.iter().enumerate() {
        let count = handles[turn % 2]
            .append("1", std::slice::from_ref(entry))
            .unwrap();
        assert_eq!(count, entry.seen + 1);
        assert_eq!(
            handles[(turn + 1) % 2].journal("1").unwrap(),
            entries[..=turn]
        );
    }
    assert_eq!(handles[0].check(), Ok(vec![]));
}

#[test]
fn four_writers_lose_nothing() {
    const EACH: usize = 40;
    let (_directory, path) = new_archive();
    Archive::open(&path)
        .unwrap()
        .append("1", &[opened("1")])
        .unwrap();
    let kept: BTreeSet<_> = thread::scope(|scope| {
        let writers: Vec<_> = (0..4)
            .map(|_| {
                scope.spawn(|| {
                    let mut archive = Archive::open(&path).unwrap();
                    (0..EACH)
                        .map(|_| append_among_others(&mut archive, "1").id)
                        .collect::<Vec<_>>()
                })
            })
            .collect();
        writers
            .into_iter()
            .flat_map(|writer| writer.join().unwrap())
            .collect()
    });
    assert_eq!(kept.len(), 4 * EACH);
    let archive = Archive::open(&path).unwrap();
    let journal = archive.journal("1").unwrap();
    let found: BTreeSet<_> = journal.iter().skip(1).map(|entry| entry.id).collect();
    assert_eq!(found, kept);
    let seen: Vec<_> = journal.iter().map(|entry| entry.seen).collect();
    assert_eq!(seen, (0..=4 * EACH as u64).collect::<Vec<_>>());
    assert_eq!(archive.check(), Ok(vec![]));
}

#[test]
fn eight_openers_make_one_archive() {
    let (directory, path) = new_archive();
    thread::scope(|scope| {
        for number in 0..8 {
            let path = &path;
            scope.spawn(move || {
                let mut archive = Archive::open(path).unwrap();
                let number = number.to_string();
                archive.append(&number, &case(&number, 3)).unwrap();
            });
        }
    });
    let archive = Archive::open_existing(&path).unwrap();
    assert_eq!(archive.cases().unwrap().len(), 8);
    assert_eq!(archive.check(), Ok(vec![]));
    drop(archive);
    // Nothing half made is left beside it.
    assert_eq!(fs::read_dir(directory.path()).unwrap().count(), 1);
}

#[test]
fn a_reader_sees_one_moment_while_another_writes() {
    let (_directory, path) = new_archive();
    let mut writer = Archive::open(&path).unwrap();
    writer.append("1", &[opened("1")]).unwrap();
    let done = AtomicBool::new(false);
    thread::scope(|scope| {
        let reader = scope.spawn(|| {
            let archive = Archive::open(&path).unwrap();
            let mut reads = 0;
            while !done.load(Ordering::SeqCst) || reads == 0 {
                archive.journal("1").unwrap();
                assert_eq!(archive.check(), Ok(vec![]));
                reads += 1;
            }
        });
        let stop = Stop(&done);
        for _ in 0..100 {
            append_among_others(&mut writer, "1");
        }
        drop(stop);
        reader.join().unwrap();
    });
}

#[test]
fn a_backup_is_whole_while_another_writes() {
    let (directory, path) = new_archive();
    let mut writer = Archive::open(&path).unwrap();
    writer.append("1", &[opened("1")]).unwrap();
    writer
        .keep_flow("d1", 1, &[("f".to_owned(), "one".to_owned())])
        .unwrap();
    let archive = Archive::open(&path).unwrap();
    let acknowledged = AtomicU64::new(1);
    let done = AtomicBool::new(false);
    let targets: Vec<_> = (0..5)
        .map(|n| directory.path().join(format!("backup-{n}")))
        .collect();
    let mut least = Vec::new();
    thread::scope(|scope| {
        scope.spawn(|| {
            while !done.load(Ordering::SeqCst) {
                append_among_others(&mut writer, "1");
                acknowledged.fetch_add(1, Ordering::SeqCst);
            }
        });
        let _stop = Stop(&done);
        for target in &targets {
            while acknowledged.load(Ordering::SeqCst) < 5 * (least.len() as u64 + 1) {
                thread::yield_now();
            }
            least.push(acknowledged.load(Ordering::SeqCst));
            archive.backup(target).unwrap();
        }
    });
    let whole = archive.journal("1").unwrap();
    for (target, least) in targets.iter().zip(least) {
        let backup = Archive::open_existing(target).unwrap();
        assert_eq!(backup.check(), Ok(vec![]));
        let journal = backup.journal("1").unwrap();
        assert!(journal.len() as u64 >= least);
        assert_eq!(journal, whole[..journal.len()]);
        assert!(backup.flow("d1").unwrap().is_some());
    }
    drop(archive);
    let names: BTreeSet<_> = fs::read_dir(directory.path())
        .unwrap()
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .filter(|name| !name.starts_with("cases.archive"))
        .collect();
    assert_eq!(names.len(), 5, "{names:?}");
}

#[test]
fn a_backup_takes_no_file_away() {
    let (directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    archive.append("1", &case("1", 3)).unwrap();
    let target = directory.path().join("notes.txt");
    fs::write(&target, "notes").unwrap();
    for taken in [&target, &path] {
        let error = archive.backup(taken).unwrap_err();
        assert_eq!(error, ArchiveError::TargetExists(taken.clone()));
        assert_eq!(error.kind(), Trouble::CannotCreate);
        assert!(error.hint().unwrap().contains("does not exist yet"));
    }
    assert_eq!(fs::read_to_string(&target).unwrap(), "notes");
    let error = archive
        .backup(&directory.path().join("no/where"))
        .unwrap_err();
    assert_eq!(error.kind(), Trouble::CannotCreate);
    assert!(
        error.to_string().contains("no/where cannot be created: "),
        "{error}"
    );
    assert_eq!(archive.check(), Ok(vec![]));
}

#[test]
fn who_waits_too_long_is_told_who_holds_it() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    let mut holder = rusqlite::Connection::open(&path).unwrap();
    let held = holder
        .transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)
        .unwrap();
    let before = std::time::Instant::now();
    // Opening and reading wait for nobody.
    let reader = Archive::open(&path).unwrap();
    assert_eq!(reader.cases(), Ok(vec![]));
    assert!(before.elapsed().as_secs_f64() < 2.0);
    let before = std::time::Instant::now();
    let error = archive.append("1", &[opened("1")]).unwrap_err();
    let waited = before.elapsed().as_secs_f64();
    assert!((4.5..20.0).contains(&waited), "{waited} s");
    assert_eq!(error, ArchiveError::Busy(path.clone()));
    assert_eq!(error.kind(), Trouble::Busy);
    assert!(error.hint().unwrap().starts_with("try again"));
    drop(held);
    assert_eq!(archive.append("1", &[opened("1")]), Ok(1));
}
