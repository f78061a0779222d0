mod suite;

use super::*;

#[test]
fn the_hash_is_sha_256_over_lengths_and_texts() {
    // Worked out with Python's hashlib:
    // sha256(bytes(32) + pack("<Q", 7) + b"24-0381" + pack("<Q", 2) + pack("<Q", 2) + b"{}").
    let hash = chain::hash(&chain::NONE, &Stream::Case("24-0381".to_owned()), 2, "{}");
    assert_eq!(
        crate::text::hex(hash),
        "beacd8909e5bdbe4332566ef5bb239b2a9b4dd79e9d6e19bf88df3e8d45bdfd3"
    );
}

#[test]
fn the_root_is_sha_256_over_all_before_it() {
    // Worked out with Python's hashlib, with text(s) = pack("<Q", len(s)) + s:
    // before = sha256(text(b"0123456789abcdef0123456789abcdef") + pack("<Q", 2)).digest()
    // sha256(before + pack("<Q", 1) + text(b"case 24-0381") + pack("<Q", 7) + bytes([9] * 32)).
    let before = chain::seed("0123456789abcdef0123456789abcdef", 2);
    let root = chain::root(&before, 1, "case 24-0381", 7, &[9; 32]);
    assert_eq!(
        crate::text::hex(root),
        "d63b8271be394edbe4fe537a6367098ab5738fefe20b045760352a4be43fcab4"
    );
}

#[test]
fn a_stream_is_read_from_its_name() {
    for stream in [
        Stream::Case("24 0381".to_owned()),
        Stream::Case(String::new()),
        Stream::Flow("ab12".to_owned()),
        Stream::Standing,
        Stream::Practice,
    ] {
        assert_eq!(Stream::from_key(&stream.key()), Some(stream));
    }
    assert_eq!(Stream::from_key("other 1"), None);
}

#[test]
fn near_numbers_are_within_two_slips() {
    let known = || {
        ["24-0381", "24-0318", "24-9999", "7"]
            .map(str::to_owned)
            .to_vec()
    };
    assert_eq!(near("24-0382", known()), ["24-0381", "24-0318"]);
    assert_eq!(near("8", known()), <[&str; 0]>::default());
}
