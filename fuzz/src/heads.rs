//! The lines by which each format is recognised.

/// Station and column names of TMY3.
pub const TMY3: &[u8] = b"999999,\"Nowhere\",-,-5,42.1,-85.3,260\nDate (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),TotCld (tenths),Dry-bulb (C),Dew-point (C),RHum (%),Pressure (mbar),Wspd (m/s),Alb (unitless),Lprecip depth (mm),Lprecip quantity (hr)\n";

/// The eight header lines of EPW.
pub const EPW: &[u8] = b"LOCATION,Nowhere,-,-,-,999999,42.1,-85.3,-5,260\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,\nCOMMENTS 2,\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n";

/// Names and values of the place, and the column names, of NSRDB.
pub const NSRDB: &[u8] = b"Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,Temperature Units,Pressure Units\nNSRDB,1,-,-,-,42.1,-85.3,-5,260,-5,c,mbar\nYear,Month,Day,Hour,Minute,GHI,DNI,DHI,Temperature,Dew Point,Relative Humidity,Pressure,Wind Speed,Surface Albedo\n";

/// Place and column names of a PVGIS typical year.
pub const PVGIS: &[u8] = b"Latitude (decimal degrees): 42.1\nLongitude (decimal degrees): 8.3\nElevation (m): 260\nIrradiance Time Offset (h): 0.1761\nmonth,year\n1,2012\n\ntime(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP\n";

/// The station line of TMY2.
pub const TMY2: &[u8] = b" 99999 NOWHERE                MI  -5 N 42  6 W  85 18   260\n";

/// Place of a plain CSV; the column names are left to the data.
pub const PLAIN: &[u8] = b"# latitude_deg: 42.1\n# longitude_deg: -85.3\n# altitude_m: 260\n# utc_offset_h: -5\ntime,air_c,dew_point_c,wind_m_s,ghi_w_m2,dni_w_m2,dhi_w_m2,rain_mm\n";
