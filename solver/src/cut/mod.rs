//! Pieces onto spools: what to buy and which piece is cut from which spool.
