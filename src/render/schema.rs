//! JSON Schema of what is printed and written.
