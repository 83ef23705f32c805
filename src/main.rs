//! The command `ventwright`.

fn main() {}
