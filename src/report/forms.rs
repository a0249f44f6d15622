//! Serialised forms: the types that JSON of version 1 is made from, apart from the library's own.

/// Declares serialised forms, each field with where it comes from: `field: type = value`.
///
/// `struct Marker<'a>(found: &'a MarkerResult) { ... }` becomes the type, its schema (from the fields' comments)
/// and `Marker::new(found)`. A field stands once, so that none is declared and left unfilled, or filled twice.
macro_rules! forms {
    ($(
        $(#[$about:meta])*
        $visible:vis struct $name:ident $(<$life:lifetime>)? ($($given:ident: $source:ty),+) {
            $($(#[$field_about:meta])* $field:ident: $kind:ty = $value:expr,)+
        }
    )+) => {$(
        $(#[$about])*
        #[derive(Debug, serde::Serialize)]
        #[cfg_attr(test, derive($crate::report::forms::JsonSchema))]
        $visible struct $name $(<$life>)? {
            $($(#[$field_about])* $field: $kind,)+
        }

        impl $(<$life>)? $name $(<$life>)? {
            /// Puts what was found into the serialised form.
            $visible fn new($($given: $source),+) -> Self {
                Self { $($field: $value,)+ }
            }
        }
    )+};
}

pub(crate) use forms;
// Schemas are made by tests alone.
#[cfg(test)]
pub(crate) use schemars::JsonSchema;
