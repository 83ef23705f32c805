//! Names of folders: safe on every file system, readable, and different for different things.

/// Most letters of a name that a folder name keeps.
const LONGEST_SLUG: usize = 40;

/// Names that one widespread operating system keeps for devices, whatever their extension. From memory.
const DEVICE_NAMES: [&str; 22] = [
    "con", "prn", "aux", "nul", "com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8",
    "com9", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9",
];

/// Name of the folder of one run: a readable part and twelve hexadecimal digits of the hash (BLAKE3) of everything that determines its result.
///
/// Equal `readable` and `inputs` give the same key on every machine. Twelve digits are 48 bits: among 10 000 runs of a study two different inputs
/// meet with a probability below 2·10⁻⁷.
///
/// ```
/// use ventwright::store::run_key;
/// let key = run_key("Wide hexagons", b"hole view, 2.1 m/s, 48 cells");
/// assert!(key.starts_with("wide-hexagons-"));
/// assert_eq!(key.len(), "wide-hexagons-".len() + 12);
/// assert_ne!(key, run_key("Wide hexagons", b"hole view, 2.1 m/s, 64 cells"));
/// ```
pub fn run_key(readable: &str, inputs: &[u8]) -> String {
    let hash = hash_digits(inputs, 12);
    match slug(readable).as_str() {
        "" => hash,
        slug => format!("{slug}-{hash}"),
    }
}

/// Name of the folder of a study: lower-case letters a to z, digits and hyphens, at most 49 of them.
///
/// Upper case is lowered; spaces and underscores become hyphens. When more than that had to change (other characters, too long, nothing left, a
/// device name), eight digits of the name's hash are added, so that different names stay apart.
///
/// ```
/// use ventwright::store::folder_name;
/// assert_eq!(folder_name("Desk fan_2"), "desk-fan-2");
/// assert!(folder_name("../../etc/passwd").starts_with("etc-passwd-"));
/// ```
pub fn folder_name(name: &str) -> String {
    let slug = slug(name);
    let plain: String = name
        .chars()
        .map(|letter| match letter {
            ' ' | '_' => '-',
            other => other.to_ascii_lowercase(),
        })
        .collect();
    if slug == plain && !slug.is_empty() && !DEVICE_NAMES.contains(&slug.as_str()) {
        return slug;
    }
    let hash = hash_digits(name.as_bytes(), 8);
    if slug.is_empty() {
        hash
    } else {
        format!("{slug}-{hash}")
    }
}

/// Part of the name of a file that shows some grilles: a readable part and eight digits of the hash of all their names.
///
/// Other names, or another order, give another file, also where they differ only in large and small letters or where one name ends and the next begins.
///
/// ```
/// use ventwright::store::set_name;
/// assert!(set_name(&["wide comb", "rings"]).starts_with("wide-comb-rings-"));
/// assert_ne!(set_name(&["Comb"]), set_name(&["comb"]));
/// assert_ne!(set_name(&["a b", "c"]), set_name(&["a", "b c"]));
/// ```
pub fn set_name(names: &[impl AsRef<str>]) -> String {
    let names: Vec<&str> = names.iter().map(AsRef::as_ref).collect();
    // Names hold no such character, so it tells where one ends.
    let hash = hash_digits(names.join("\0").as_bytes(), 8);
    match slug(&names.join(" ")).as_str() {
        "" => hash,
        slug => format!("{slug}-{hash}"),
    }
}

/// Lower-case letters a to z and digits; each run of anything else becomes one hyphen; none at either end.
fn slug(name: &str) -> String {
    let mut slug = String::new();
    for letter in name.chars() {
        if slug.len() == LONGEST_SLUG {
            break;
        }
        if letter.is_ascii_alphanumeric() {
            slug.push(letter.to_ascii_lowercase());
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    slug.truncate(slug.trim_end_matches('-').len());
    slug
}

fn hash_digits(bytes: &[u8], count: usize) -> String {
    let mut digits = blake3::hash(bytes).to_hex().to_string();
    digits.truncate(count);
    digits
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Is one folder name everywhere: no separator, no dot, no space, no control or shell character, not too long.
    fn is_safe(name: &str) -> bool {
        !name.is_empty()
            && name.len() <= LONGEST_SLUG + 13
            && name
                .bytes()
                .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
            && !name.starts_with('-')
            && !name.ends_with('-')
            && !DEVICE_NAMES.contains(&name)
    }

    #[test]
    fn hostile_names_become_safe_and_stay_apart() {
        let long = "x".repeat(200);
        let longer = "x".repeat(201);
        let names = [
            "",
            ".",
            "..",
            "../../etc/passwd",
            "C:\\temp",
            "<script>alert(1)</script>",
            "a\0b",
            "a\nb",
            "con",
            "NUL",
            "ファン格子",
            "решётка",
            "-rf",
            "a%b",
            "a&b",
            &long,
            &longer,
        ];
        let folders: std::collections::BTreeSet<String> =
            names.iter().map(|n| folder_name(n)).collect();
        assert_eq!(folders.len(), names.len(), "{folders:?}");
        for name in names {
            assert!(
                is_safe(&folder_name(name)),
                "{name:?} gives {:?}",
                folder_name(name)
            );
            let key = run_key(name, b"inputs");
            assert!(is_safe(&key), "{name:?} gives {key:?}");
        }
    }

    #[test]
    fn a_plain_name_stays_as_it_is() {
        assert_eq!(folder_name("desk-fan-140"), "desk-fan-140");
    }

    #[test]
    fn the_hash_is_blake3_of_the_inputs() {
        // Published test vector of BLAKE3 for the empty input: af1349b9f5f9a1a6a0404dea36dcc949...
        // (BLAKE3 team, file test_vectors/test_vectors.json, input_len 0).
        assert_eq!(run_key("", b""), "af1349b9f5f9");
    }
}
