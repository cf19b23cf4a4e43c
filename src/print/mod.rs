//! (room to be filled)
