//! Opens files with a size limit and writes them whole or not at all.
