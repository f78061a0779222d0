//! A disk that fails at each operation once, and one that loses power: of what was not flushed, any part in any order is
//! there afterwards, and the rest is not.

use std::collections::BTreeMap;
use std::io::{Error, ErrorKind};
use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Arc, Mutex, MutexGuard};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};
use sqlite_vfs::wip::{WalIndex, WalIndexLock};
use sqlite_vfs::{DatabaseHandle, LockKind, OpenAccess, OpenOptions, Vfs, register};

use super::super::{Sqlite, schema};
use super::opened;
use crate::archive::{Archive, ArchiveError};
use crate::case::journal::{Body, Entry};

/// What a disk writes in one piece, in bytes.
const SECTOR: usize = 512;

/// Numbers that look random, the same in every run (Marsaglia, Xorshift RNGs, 2003).
#[derive(Clone)]
struct Dice(u64);

impl Dice {
    fn below(&mut self, end: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % end
    }
}

/// A change that was not flushed.
enum Change {
    Write(usize, Vec<u8>),
    Length(usize),
}

#[derive(Default)]
struct OneFile {
    /// What programs see.
    seen: Vec<u8>,
    /// What the disk has for sure.
    safe: Vec<u8>,
    /// What came since.
    since: Vec<Change>,
}

#[derive(Default)]
struct Disk {
    files: BTreeMap<String, OneFile>,
    /// How many operations there were.
    done: u64,
    /// The operation that fails, and whether all after it do too.
    fails: Option<(u64, bool)>,
}

impl Disk {
    fn operation(&mut self) -> Result<(), Error> {
        self.done += 1;
        match self.fails {
            Some((at, all)) if self.done == at || all && self.done > at => {
                Err(Error::other("made to fail"))
            }
            _ => Ok(()),
        }
    }

    /// Takes the power away and gives it back.
    fn cut(&mut self, dice: &mut Dice) {
        self.fails = None;
        for file in self.files.values_mut() {
            let mut parts = Vec::new();
            for change in file.since.drain(..) {
                match change {
                    Change::Length(length) => parts.push(Change::Length(length)),
                    Change::Write(at, bytes) => {
                        let mut from = 0;
                        while from < bytes.len() {
                            let to = bytes.len().min(from + SECTOR - (at + from) % SECTOR);
                            parts.push(Change::Write(at + from, bytes[from..to].to_vec()));
                            from = to;
                        }
                    }
                }
            }
            let mut safe = std::mem::take(&mut file.safe);
            // Often most of it is there, sometimes hardly any.
            let share = dice.below(101);
            while !parts.is_empty() {
                let next = usize::try_from(dice.below(parts.len() as u64)).unwrap();
                let part = parts.swap_remove(next);
                if dice.below(100) < share {
                    apply(&mut safe, &part);
                }
            }
            file.seen.clone_from(&safe);
            file.safe = safe;
        }
    }
}

fn apply(bytes: &mut Vec<u8>, change: &Change) {
    match change {
        Change::Length(length) => bytes.resize(*length, 0),
        Change::Write(at, new) => {
            if bytes.len() < at + new.len() {
                bytes.resize(at + new.len(), 0);
            }
            bytes[*at..at + new.len()].copy_from_slice(new);
        }
    }
}

#[derive(Clone)]
struct Shared(Arc<Mutex<Disk>>);

impl Shared {
    fn get(&self) -> MutexGuard<'_, Disk> {
        self.0.lock().unwrap()
    }
}

struct Handle {
    disk: Shared,
    name: String,
    lock: LockKind,
}

impl Handle {
    fn change(&self, change: Change) -> Result<(), Error> {
        let mut disk = self.disk.get();
        disk.operation()?;
        let file = disk.files.entry(self.name.clone()).or_default();
        apply(&mut file.seen, &change);
        file.since.push(change);
        Ok(())
    }
}

struct NoIndex;

impl WalIndex for NoIndex {
    fn enabled() -> bool {
        false
    }

    fn map(&mut self, _region: u32) -> Result<[u8; 32768], Error> {
        Err(ErrorKind::Unsupported.into())
    }

    fn lock(&mut self, _locks: std::ops::Range<u8>, _lock: WalIndexLock) -> Result<bool, Error> {
        Err(ErrorKind::Unsupported.into())
    }

    fn delete(self) -> Result<(), Error> {
        Ok(())
    }
}

impl DatabaseHandle for Handle {
    type WalIndex = NoIndex;

    fn size(&self) -> Result<u64, Error> {
        let mut disk = self.disk.get();
        disk.operation()?;
        Ok(disk
            .files
            .get(&self.name)
            .map_or(0, |f| f.seen.len() as u64))
    }

    fn read_exact_at(&mut self, buffer: &mut [u8], offset: u64) -> Result<(), Error> {
        let mut disk = self.disk.get();
        disk.operation()?;
        let empty = OneFile::default();
        let seen = &disk.files.get(&self.name).unwrap_or(&empty).seen;
        let from = seen.len().min(usize::try_from(offset).unwrap());
        let to = seen.len().min(from + buffer.len());
        buffer.fill(0);
        buffer[..to - from].copy_from_slice(&seen[from..to]);
        match to - from == buffer.len() {
            true => Ok(()),
            false => Err(ErrorKind::UnexpectedEof.into()),
        }
    }

    fn write_all_at(&mut self, buffer: &[u8], offset: u64) -> Result<(), Error> {
        let at = usize::try_from(offset).unwrap();
        self.change(Change::Write(at, buffer.to_vec()))
    }

    fn sync(&mut self, _data_only: bool) -> Result<(), Error> {
        let mut disk = self.disk.get();
        disk.operation()?;
        let file = disk.files.entry(self.name.clone()).or_default();
        for change in file.since.drain(..) {
            apply(&mut file.safe, &change);
        }
        Ok(())
    }

    fn set_len(&mut self, size: u64) -> Result<(), Error> {
        self.change(Change::Length(usize::try_from(size).unwrap()))
    }

    fn lock(&mut self, lock: LockKind) -> Result<bool, Error> {
        self.lock = lock;
        Ok(true)
    }

    fn reserved(&mut self) -> Result<bool, Error> {
        Ok(false)
    }

    fn current_lock(&self) -> Result<LockKind, Error> {
        Ok(self.lock)
    }

    fn wal_index(&self, _readonly: bool) -> Result<NoIndex, Error> {
        Ok(NoIndex)
    }
}

impl Vfs for Shared {
    type Handle = Handle;

    fn open(&self, name: &str, options: OpenOptions) -> Result<Handle, Error> {
        let mut disk = self.get();
        disk.operation()?;
        let makes = matches!(options.access, OpenAccess::Create | OpenAccess::CreateNew);
        if !makes && !disk.files.contains_key(name) {
            return Err(ErrorKind::NotFound.into());
        }
        disk.files.entry(name.to_owned()).or_default();
        Ok(Handle {
            disk: self.clone(),
            name: name.to_owned(),
            lock: LockKind::None,
        })
    }

    fn delete(&self, name: &str) -> Result<(), Error> {
        let mut disk = self.get();
        disk.operation()?;
        disk.files.remove(name);
        Ok(())
    }

    fn exists(&self, name: &str) -> Result<bool, Error> {
        Ok(self.get().files.contains_key(name))
    }

    fn temporary_name(&self) -> String {
        "temporary".to_owned()
    }

    fn random(&self, buffer: &mut [i8]) {
        let mut dice = Dice(self.get().done + 1);
        for byte in buffer {
            *byte = i8::try_from(dice.below(128)).unwrap();
        }
    }

    fn sleep(&self, duration: Duration) -> Duration {
        duration
    }
}

/// A disk with an empty archive on it.
struct Bench {
    disk: Shared,
    name: String,
}

impl Bench {
    fn new() -> Bench {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let name = format!("disk-{}", NEXT.fetch_add(1, Ordering::SeqCst));
        let disk = Shared(Arc::default());
        register(&name, disk.clone(), false).unwrap();
        let bench = Bench { disk, name };
        let mut conn = bench.connect().unwrap();
        conn.pragma_update(None, "application_id", schema::APPLICATION_ID)
            .unwrap();
        schema::settle(&conn, Path::new("a")).unwrap();
        schema::migrate(&mut conn, Path::new("a"), schema::STEPS).unwrap();
        bench
    }

    fn connect(&self) -> rusqlite::Result<Connection> {
        let flags = schema::FLAGS | OpenFlags::SQLITE_OPEN_CREATE;
        let conn = Connection::open_with_flags_and_vfs("a", flags, self.name.as_str())?;
        conn.pragma_update_and_check(None, "locking_mode", "EXCLUSIVE", |_| Ok(()))?;
        Ok(conn)
    }

    /// Opens the archive as the program does, but that nobody else can.
    fn open(&self, level: &str) -> Result<Archive, ArchiveError> {
        let path = Path::new("a");
        let conn = self
            .connect()
            .map_err(|error| super::super::said(path, error))?;
        schema::is_ours(&conn, path)?;
        schema::settle(&conn, path)?;
        conn.execute_batch(level)
            .map_err(|error| super::super::said(path, error))?;
        let store = Sqlite::over(conn, path, None, true)?;
        Archive::over(Box::new(store), path.to_path_buf())
    }
}

/// The next entry of a case that has so many.
fn next(number: &str, has: u64) -> Entry {
    let mut entry = opened(number);
    entry.seen = has;
    if has > 0 {
        let Body::Opened { units, .. } = entry.body.clone() else {
            panic!("opened");
        };
        entry.body = Body::Units {
            units,
            undoes: None,
        };
    }
    entry
}

/// What was lost over so many power cuts.
#[derive(Default, Debug)]
struct Lost {
    acknowledged: u64,
    cuts: u32,
    missing: u64,
    damaged: u32,
}

/// Answers until the power goes, looks what is left, and goes on.
fn cuts(least: u64, level: &str) -> Lost {
    let bench = Bench::new();
    let mut dice = Dice(0x2545_f491_4f6c_dd1d);
    let mut lost = Lost::default();
    let mut kept: BTreeMap<String, Vec<Entry>> = BTreeMap::new();
    while lost.acknowledged < least {
        let at = {
            let mut disk = bench.disk.get();
            let at = disk.done + 1 + dice.below(600);
            disk.fails = Some((at, true));
            at
        };
        let number = format!("24-{}", lost.cuts / 5);
        let mut tried = None;
        if let Ok(mut archive) = bench.open(level) {
            let mine = kept.entry(number.clone()).or_default();
            while bench.disk.get().done < at {
                let entry = next(&number, mine.len() as u64);
                match archive.append(&number, std::slice::from_ref(&entry)) {
                    Ok(_) => {
                        mine.push(entry);
                        lost.acknowledged += 1;
                    }
                    Err(_) => {
                        tried = Some(entry);
                        break;
                    }
                }
            }
        }
        bench.disk.get().cut(&mut dice);
        lost.cuts += 1;
        let damages = bench.open(level).and_then(|archive| {
            let journal = match archive.journal(&number) {
                Err(ArchiveError::NoSuchCase { .. }) => Vec::new(),
                other => other?,
            };
            let mine = kept.entry(number.clone()).or_default();
            lost.missing += mine.iter().filter(|own| !journal.contains(own)).count() as u64;
            // What was written and not acknowledged may be there, and nothing else.
            let strange = journal
                .iter()
                .filter(|entry| !mine.contains(entry) && tried.as_ref() != Some(entry));
            assert_eq!(strange.count(), 0);
            *mine = journal;
            // Looking through everything takes time.
            match lost.cuts % 50 {
                0 => archive.check(),
                _ => Ok(Vec::new()),
            }
        });
        if damages != Ok(Vec::new()) {
            lost.damaged += 1;
            if level.is_empty() {
                panic!("{damages:?}");
            }
            return lost;
        }
    }
    lost
}

#[test]
fn no_answer_that_was_acknowledged_is_lost_when_the_power_goes() {
    // How many answers, where it is not as many as usual.
    let least = std::env::var("CASEPAN_TEST_CUTS").map_or(1_000, |least| least.parse().unwrap());
    let lost = cuts(least, "");
    println!("{lost:?}");
    assert_eq!((lost.missing, lost.damaged), (0, 0), "{lost:?}");
    assert!(lost.acknowledged >= least && lost.cuts > 40, "{lost:?}");
}

#[test]
fn a_disk_that_is_not_flushed_loses_answers_so_the_cuts_cut() {
    for level in ["PRAGMA synchronous = NORMAL", "PRAGMA synchronous = OFF"] {
        let lost = cuts(300, level);
        println!("{level}: {lost:?}");
        assert!(lost.missing > 0 || lost.damaged > 0, "{level}: {lost:?}");
    }
}

#[test]
fn each_operation_fails_once_and_nothing_acknowledged_is_lost() {
    let mut dice = Dice(7);
    let (mut positions, mut refused) = (0, 0);
    for at in 1.. {
        let bench = Bench::new();
        let mut kept = vec![next("1", 0), next("1", 1)];
        let mut archive = bench.open("").unwrap();
        archive.append("1", &kept).unwrap();
        let begin = {
            let mut disk = bench.disk.get();
            disk.fails = Some((disk.done + at, false));
            disk.done
        };
        // One answer, and one that makes room for itself in the main file.
        for _ in 0..2 {
            let entry = next("1", kept.len() as u64);
            let done = std::slice::from_ref(&entry);
            match archive.append("1", done) {
                Ok(_) => kept.push(entry),
                Err(_) => {
                    refused += 1;
                    // Given again, as the program does, it is kept once.
                    drop(archive);
                    archive = bench.open("").unwrap();
                    archive.append("1", done).unwrap();
                    kept.push(entry);
                }
            }
        }
        let reached = bench.disk.get().done >= begin + at;
        // A second failure takes nothing that was said to be kept.
        bench.disk.get().cut(&mut dice);
        drop(archive);
        let archive = bench.open("").unwrap();
        assert_eq!(archive.journal("1").unwrap(), kept, "operation {at}");
        assert_eq!(archive.check(), Ok(vec![]), "operation {at}");
        if !reached {
            break;
        }
        positions += 1;
    }
    println!("{positions} positions, {refused} refused");
    assert!(positions > 10 && refused > 5, "{positions} {refused}");
}
