//! The command as a user meets it: folders made, the binary run, what it said
//! and left behind compared.

mod batch;
mod broken;
mod compare;
mod desk;
mod faults;
mod guide;
mod inspect;
mod keep;
mod licences;
mod order;
mod origin;
mod outside;
mod papers;
mod plan;
mod rebuild;
mod same;
mod service;
mod start;
mod streams;
mod survey;
mod verify;
mod versions;
