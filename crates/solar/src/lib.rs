//! Sun position, irradiance on any plane, obstructions and the longwave of the sky.
