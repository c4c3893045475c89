//! Direct cost of one piece, joint, hub, transformer, site and segment.
