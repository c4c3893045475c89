//! The command as a user meets it: folders made, the binary run, what it said
//! and left behind compared.

mod batch;
mod compare;
mod desk;
mod inspect;
mod keep;
mod order;
mod papers;
mod plan;
mod rebuild;
mod service;
mod streams;
mod verify;
