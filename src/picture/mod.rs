//! Fields as colour pictures.
