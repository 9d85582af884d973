//! Public hourly weather files read into one weather year.
