//! Answers in JSON, left for a validator that is not ours: `python/tests/test_schemas.py` holds each against `schema/v1`.

use std::fs;
use std::path::Path;

use serde_json::Value;

/// Reads an answer, and leaves it to be validated against `schema/v1/SCHEMA.json`.
///
/// It lies in `json/SCHEMA` of the tests' own folder (`target/tmp`), under the name of the test that asked for it.
pub fn left_to_be_validated(schema: &str, answer: &str) -> Value {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("json").join(schema);
    fs::create_dir_all(&folder).expect("a folder");
    let thread = std::thread::current();
    let test = thread.name().unwrap_or("unnamed").replace("::", ".");
    let digest = bandlore::io::sha256_hex(answer.as_bytes());
    fs::write(folder.join(format!("{test}-{}.json", &digest[..12])), answer).expect("written");
    serde_json::from_str(answer).expect("JSON")
}
