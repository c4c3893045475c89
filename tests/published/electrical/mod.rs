//! The electrical core against standards, handbooks, published feeders and closed forms.

mod closed_forms;
mod conductors;
mod feeders;
mod handbook;
mod mixed_networks;
