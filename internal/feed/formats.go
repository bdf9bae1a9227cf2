package feed

// Formats lists the formats that can be read, by name.
func Formats() []Format {
	return []Format{
		delimited,
		dwdDaily,
		dwdStations,
		ecad,
		ecadStations,
		eccc,
		fmi,
		fmiStations,
		frost,
		frostStations,
		ghcnAccess,
		ghcnCDO,
		ghcnCSV,
		ghcnDaily,
		ghcnInventory,
		ghcnStations,
		knmi,
		logger,
		meteoSwiss,
		meteoSwissInventory,
		meteoSwissStations,
		metno,
		mosmix,
		openMeteo,
		smhiForecast,
		smhiMetobs,
		smhiStations,
	}
}
