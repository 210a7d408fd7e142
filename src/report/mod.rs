//! Domain values to documents; writes to a String, never to a stream.
