//! The command as a user meets it: folders made, the binary run, what it said
//! and left behind compared.

mod batch;
mod desk;
mod inspect;
mod order;
mod plan;
mod streams;
mod verify;
