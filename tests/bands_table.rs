//! The shipped table: the check that a contributor's table goes through, and what it must hold.

use std::path::Path;

use bandlore::Tables;

/// The folder that ships.
fn shipped() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/reference-bands"))
}

#[test]
fn the_shipped_table_passes_its_own_check() {
    match Tables::load(shipped()) {
        Ok(tables) => assert_eq!(tables.sha256(), Tables::built_in().sha256()),
        Err(error) => panic!("{error}"),
    }
}
