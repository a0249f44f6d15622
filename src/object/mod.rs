//! The whole object: manifest, parts, neighbours, candidate sheets, care.
