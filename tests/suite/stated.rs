//! Results stated by hand. No result can be put together outside the library, for it may get another field; as for
//! a user's program, its JSON is the way in.

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// Returns the result that these fields make; what may be left out is `None`. A field that the result does not have
/// is a fault of the test.
pub(crate) fn stated<T: DeserializeOwned + Serialize>(fields: Value) -> T {
    let made: T = serde_json::from_value(fields.clone()).expect("the fields of a result");
    let written = serde_json::to_value(&made).expect("JSON");
    for (name, value) in fields.as_object().expect("fields") {
        assert_eq!(written.get(name), Some(value), "{name}");
    }
    made
}
