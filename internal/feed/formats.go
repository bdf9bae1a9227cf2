package feed

// Formats lists the formats that can be read, by name.
func Formats() []Format {
	return []Format{
		delimited,
		dwdDaily,
		dwdStations,
		ecad,
		eccc,
		fmi,
		fmiStations,
		frost,
		frostStations,
		ghcnAccess,
		ghcnCDO,
		ghcnCSV,
		ghcnDaily,
		ghcnStations,
		knmi,
		logger,
		meteoSwiss,
		metno,
		mosmix,
		openMeteo,
		smhiForecast,
		smhiMetobs,
		smhiStations,
	}
}
