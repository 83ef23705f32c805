//! Checksums of what is read back. They find damage: a flipped digit, a cut file, a file in the place of another. They do not find forgery, since whoever changes a file can renew its checksum.
//!
//! The checksum is BLAKE3 (J. O'Connor, J.-P. Aumasson, S. Neves, Z. Wilcox-O'Hearn, *BLAKE3: one function, fast everywhere*, 2020), in hexadecimal digits.

use serde_json::Value;

/// Key under which a JSON file holds the checksum of all the rest of it.
pub const KEY: &str = "blake3";

/// How a text file begins that holds the checksum of the lines below it.
const LINE: &str = "# blake3 ";

/// What is read does not go with its checksum.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("it was changed or damaged after it was written (its checksum does not match)")]
pub struct Damage;

/// The checksum of some bytes, one after the other.
pub fn of_bytes(parts: &[&[u8]]) -> String {
    let mut hash = blake3::Hasher::new();
    for part in parts {
        hash.update(part);
    }
    hash.finalize().to_hex().to_string()
}

/// The checksum of a JSON value without its own checksum, whatever its spaces, line ends and order of keys.
pub fn of_json(value: &Value) -> String {
    let mut text = String::new();
    canonical(value, true, &mut text);
    of_bytes(&[text.as_bytes()])
}

/// Checks a JSON value against the checksum in it.
///
/// # Errors
/// [`Damage`], also where it has none.
pub fn check_json(value: &Value) -> Result<(), Damage> {
    let held = value.get(KEY).and_then(Value::as_str);
    if held == Some(&of_json(value)) {
        Ok(())
    } else {
        Err(Damage)
    }
}

/// A text below a line with its checksum, which readers of TOML take for a comment.
pub fn with_line(text: &str) -> String {
    format!("{LINE}{}\n{text}", of_bytes(&[text.as_bytes()]))
}

/// The text below its line; the whole of one that has no such line.
///
/// # Errors
/// [`Damage`].
pub fn below_line(text: &str) -> Result<&str, Damage> {
    let Some(rest) = text.strip_prefix(LINE) else {
        return Ok(text);
    };
    let (held, text) = rest.split_once('\n').ok_or(Damage)?;
    if held.trim_end() == of_bytes(&[text.as_bytes()]) {
        Ok(text)
    } else {
        Err(Damage)
    }
}

/// Compact JSON with sorted keys. Does not lean on how the library orders them.
fn canonical(value: &Value, is_top: bool, out: &mut String) {
    match value {
        Value::Array(items) => {
            out.push('[');
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    out.push(',');
                }
                canonical(item, false, out);
            }
            out.push(']');
        }
        Value::Object(fields) => {
            let keys = fields.keys().filter(|key| !is_top || *key != KEY);
            let mut keys: Vec<&String> = keys.collect();
            keys.sort_unstable();
            out.push('{');
            for (index, key) in keys.into_iter().enumerate() {
                if index > 0 {
                    out.push(',');
                }
                out.push_str(&Value::String(key.clone()).to_string());
                out.push(':');
                canonical(&fields[key], false, out);
            }
            out.push('}');
        }
        other => out.push_str(&other.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    /// Source: the test vectors of the reference implementation of BLAKE3 (input of length 0), quoted from memory.
    #[test]
    fn nothing_has_the_published_checksum() {
        let expected = "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262";
        assert_eq!(of_bytes(&[]), expected);
    }

    #[test]
    fn order_and_spaces_do_not_count_and_every_change_does() {
        let mut value = json!({ "b": [1, 2.5, null], "a": { "blake3": "x" } });
        value[KEY] = of_json(&value).into();
        assert_eq!(check_json(&value), Ok(()));
        let text = serde_json::to_string_pretty(&value).unwrap();
        assert_eq!(check_json(&serde_json::from_str(&text).unwrap()), Ok(()));
        for (from, to) in [
            ("2.5", "2.6"),
            ("\"x\"", "\"y\""),
            ("null", "0"),
            ("\"b\"", "\"c\""),
        ] {
            let changed = text.replacen(from, to, 1);
            assert_eq!(
                check_json(&serde_json::from_str(&changed).unwrap()),
                Err(Damage),
                "{from}"
            );
        }
        assert_eq!(check_json(&json!({ "b": 1 })), Err(Damage));
    }

    #[test]
    fn keys_are_sorted_and_strings_escaped() {
        let value: Value =
            serde_json::from_str(r#"{"b":[1,2.50,null],"a\n":{"d":true,"c":"x\"y"}}"#).unwrap();
        let mut text = String::new();
        canonical(&value, true, &mut text);
        assert_eq!(text, r#"{"a\n":{"c":"x\"y","d":true},"b":[1,2.5,null]}"#);
    }

    #[test]
    fn a_text_with_its_line_is_read_back_and_a_changed_one_is_not() {
        let whole = with_line("a = 1\nb = 2\n");
        assert_eq!(below_line(&whole), Ok("a = 1\nb = 2\n"));
        assert_eq!(below_line(&whole.replace('2', "3")), Err(Damage));
        assert_eq!(below_line(&whole[..whole.len() - 3]), Err(Damage));
        assert_eq!(below_line("a = 1\n"), Ok("a = 1\n"));
    }
}
