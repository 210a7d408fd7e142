//! How a shape is written down: each key once, with its type and where its value is from, in the order of the document.
//! The same line makes the value and the JSON Schema of it, so that neither can leave the other behind.

/// Makes a type that is written as an object, and the function `of` that fills it. `let` lines stand in brackets before
/// the keys; documentation of type and keys becomes the description in the schema.
macro_rules! shape {
    ($(
        $(#[$about:meta])*
        $name:ident($($given:ident: $from:ty),* $(,)?) $([$($before:tt)*])? {
            $($(#[$told:meta])* $key:ident: $type:ty = $value:expr),* $(,)?
        }
    )*) => {$(
        $(#[$about])*
        #[derive(Debug, serde::Serialize, schemars::JsonSchema)]
        pub struct $name {
            $($(#[$told])* #[allow(missing_docs, reason = "the key says it")] pub $key: $type,)*
        }

        impl $name {
            /// Fills it.
            pub fn of($($given: $from),*) -> Self {
                $($($before)*)?
                Self { $($key: $value),* }
            }
        }
    )*};
}
