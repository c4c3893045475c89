//! The command as a user meets it: folders made, the binary run, what it said
//! and left behind compared.

mod desk;
mod inspect;
mod plan;
mod service;
mod streams;
mod verify;
