//! When the pump runs, what it draws and what it adds.
