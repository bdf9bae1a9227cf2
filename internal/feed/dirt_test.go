package feed_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

// fmiDay writes an answer of FMI with one value of one parameter.
func fmiDay(parameter, value string) string {
	return `<wfs:FeatureCollection numberMatched="1" numberReturned="1" xmlns:wfs="http://www.opengis.net/wfs/2.0" xmlns:gml="http://www.opengis.net/gml/3.2" xmlns:BsWfs="http://xml.fmi.fi/schema/wfs/2.0"><wfs:member><BsWfs:BsWfsElement gml:id="E.1.1"><BsWfs:Location><gml:Point><gml:pos>61.1 25.2 </gml:pos></gml:Point></BsWfs:Location><BsWfs:Time>2031-05-01T00:00:00Z</BsWfs:Time><BsWfs:ParameterName>` +
		parameter + `</BsWfs:ParameterName><BsWfs:ParameterValue>` + value + `</BsWfs:ParameterValue></BsWfs:BsWfsElement></wfs:member></wfs:FeatureCollection>`
}

// dly writes one record of GHCN-Daily: May of 2031 with one value, and its
// three flags behind it, on the first day.
func dly(element, value string) string {
	return "ZZX00000001203105" + element + value + strings.Repeat("-9999   ", 30) + "\n"
}

const (
	ecccHeader = "\xef\xbb\xbf" + `"Climate ID","Date/Time","Max Temp (°C)","Max Temp Flag","Min Temp (°C)","Min Temp Flag","Mean Temp (°C)","Mean Temp Flag"` + "\r\n"
	ecadHead   = "FILE FORMAT (MISSING VALUE CODE IS -9999):\r\n\r\n02-06 STAID: Station &#176;\r\n\r\n"
	dwdHead    = "STATIONS_ID;MESS_DATUM;QN_4; TMK; TXK; TNK;eor\r\n"
)

// The dirt that was met in real files, each with what is made of it.
func TestDirtMetInRealFiles(t *testing.T) {
	nan := none
	for _, row := range []struct {
		sentence, format, body string
		opt                    feed.Options
		want                   weather.Day // of 1 May 2031
	}{
		{"a mean of -1 °C of FMI is a temperature, not \"none\"", "fmi", fmiDay("tday", "-1.0"), feed.Options{}, day("2031-05-01", nan, nan, -1)},
		{"bare nan of a self-hosted Open-Meteo, which is no JSON, is missing where it stands and harms nothing else", "open-meteo", `{"current_weather":{"temperature":nan,"note":"nan, \"inf\""},"daily_units":{"time":"iso8601","temperature_2m_min":"°C","temperature_2m_max":"°C","temperature_2m_mean":"°C"},"daily":{"time":["2031-05-01"],"temperature_2m_min":[-NaN],"temperature_2m_max":[9.5],"temperature_2m_mean":[Infinity]}}`, feed.Options{}, day("2031-05-01", nan, 9.5, nan)},
		{"NaN of FMI is missing", "fmi", fmiDay("tmin", "NaN"), feed.Options{}, day("2031-05-01", nan, nan, nan)},
		{"-999 of DWD is missing however it is padded, and -99.9 is not", "dwd-daily", dwdHead + "         77;20310501;    1;   -999;-999.0 ;   -9.9;eor\r\n", feed.Options{}, day("2031-05-01", -9.9, nan, nan)},
		{"columns of DWD are found by trimmed name, not by place", "dwd-daily", "MESS_DATUM; TNK ;STATIONS_ID;TMK ;QN_4;TXK;eor\r\n20310501;  1.0;77;  5.0;  3; 9.0;eor\r\n", feed.Options{}, day("2031-05-01", 1, 9, 5)},
		{"a minimum above the maximum, where GHCN merged two sources, is kept and marked", "ghcn-daily", dly("TMAX", "   10  E") + dly("TMIN", "   50  S"), feed.Options{}, marked(day("2031-05-01", 5, 1, nan), weather.MinAboveMax)},
		{"a value of GHCN that failed a check is not used", "ghcn-daily", dly("TMAX", "  100  E") + dly("TMIN", "   50 IE"), feed.Options{}, day("2031-05-01", nan, 10, nan)},
		{"by_year without a header, with empty fields at the end", "ghcn-csv", "ZZE00000001,20310501,TMAX,100,,,E\nZZE00000001,20310501,TMIN,10,,,E,\n", feed.Options{}, day("2031-05-01", 1, 10, nan)},
		{"by_year with the header of another copy", "ghcn-csv", "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\nZZE00000001,20310501,TMAX,100,,,E,\n", feed.Options{}, day("2031-05-01", nan, 10, nan)},
		{"wide access with padded quotes, tenths all the same", "ghcn-access", "\"STATION\",\"DATE\",\"TMAX\",\"TMAX_ATTRIBUTES\"\n\"ZZE00000001\",\"2031-05-01\",\"   34\",\",,E\"\n", feed.Options{}, day("2031-05-01", nan, 3.4, nan)},
		{"rows of ECA&D with -9999 and quality 9 are missing", "ecad", ecadHead + "STAID, SOUID,    DATE,   TG, Q_TG\r\n     1, 35381,20310501,-9999,    9\r\n", feed.Options{}, day("2031-05-01", nan, nan, nan)},
		{"ECA&D of one source has no STAID", "ecad", ecadHead + " SOUID,    DATE,   TG, Q_TG\r\n 35381,20310501,   21,    0\r\n", feed.Options{}, day("2031-05-01", nan, nan, 2.1)},
		{"a value of ECA&D that is suspect is not used", "ecad", ecadHead + "STAID, SOUID,    DATE,   TG, Q_TG\r\n     1, 35381,20310501,   21,    1\r\n", feed.Options{}, day("2031-05-01", nan, nan, nan)},
		{"KNMI without its preamble", "knmi", "STN,YYYYMMDD,   TG,   TN,   TX\r\n  999,20310501,     ,  -10,   50\r\n", feed.Options{}, day("2031-05-01", -1, 5, nan)},
		{"-1 of KNMI is a tenth below nought", "knmi", "STN,YYYYMMDD,   TG,   TN,   TX\r\n  999,20310501,   -1,  -10,   50\r\n", feed.Options{}, day("2031-05-01", -1, 5, -0.1)},
		{"a day of ECCC that is empty, with M, is missing", "eccc", ecccHeader + "\"9990001\",\"2031-05-01\",\"\",\"M\",\"\",\"M\",\"\",\"M\"\r\n\"9990001\",\"2031-05-02\",\"9.0\",\"\",\"1.0\",\"\",\"5.0\",\"\"\r\n", feed.Options{}, day("2031-05-01", nan, nan, nan)},
		{"a year of ECCC without a thermometer has missing days only", "eccc", ecccHeader + "\"9990001\",\"2031-05-01\",\"\",\"\",\"\",\"\",\"\",\"\"\r\n", feed.Options{}, day("2031-05-01", nan, nan, nan)},
		{"an estimated value of ECCC is used", "eccc", ecccHeader + "\"9990001\",\"2031-05-01\",\"9.0\",\"E\",\"1.0\",\"\",\"5.0\",\"E\"\r\n", feed.Options{}, day("2031-05-01", 1, 9, 5)},
		{"Windows-1252 and an empty field of MeteoSwiss", "meteoswiss", "station_abbr;reference_timestamp;tre200d0;tre200dx;tre200dn;bem\xe4rkung\nZZZ;01.05.2031 00:00;5.0;;1.0;\xfc\n", feed.Options{}, day("2031-05-01", 1, nan, 5)},
		{"null of Open-Meteo is missing", "open-meteo", `{"latitude":61,"longitude":25,"utc_offset_seconds":0,"timezone":"GMT","daily_units":{"time":"iso8601","temperature_2m_mean":"°C"},"daily":{"time":["2031-05-01"],"temperature_2m_mean":[null]}}`, feed.Options{}, day("2031-05-01", nan, nan, nan)},
		{"°F of Open-Meteo's own units", "open-meteo", `{"latitude":61,"longitude":25,"utc_offset_seconds":0,"timezone":"GMT","daily_units":{"time":"iso8601","temperature_2m_mean":"°F"},"daily":{"time":["2031-05-01"],"temperature_2m_mean":[41]}}`, feed.Options{}, day("2031-05-01", nan, nan, 5)},
		{"a BOM before SMHI's first block", "smhi-metobs", "\xef\xbb\xbf" + smhi(smhiMin, smhiDaily, fmt.Sprintf(smhiRow, "-2.5")), feed.Options{}, day("2031-05-01", -2.5, nan, nan)},
		{"blank lines between SMHI's blocks as many as there are", "smhi-metobs", strings.ReplaceAll(smhi(smhiMin, smhiDaily, fmt.Sprintf(smhiRow, "-2.5")), "\n\n", "\n\n\n\n"), feed.Options{}, day("2031-05-01", -2.5, nan, nan)},
		{"rows of SMHI with free text behind, and five columns later", "smhi-metobs", smhi(smhiMin, smhiDaily, strings.TrimSuffix(fmt.Sprintf(smhiRow, "-2.5"), ";;")+";;Kvalitetskontrollerade historiska data", strings.ReplaceAll(strings.TrimSuffix(fmt.Sprintf(smhiRow, "1"), ";;"), "-01", "-02")), feed.Options{}, day("2031-05-01", -2.5, nan, nan)},
		{"quality Y of SMHI is used", "smhi-metobs", smhi(smhiMin, smhiDaily, strings.Replace(fmt.Sprintf(smhiRow, "-2.5"), ";G;", ";Y;", 1)), feed.Options{}, day("2031-05-01", -2.5, nan, nan)},
		{"a minimum above the maximum of a logger's days", "delimited", "date,tmin_c,tmax_c,tmean_c\n2031-05-01,9,1,5\n", feed.Options{}, marked(day("2031-05-01", 9, 1, 5), weather.MinAboveMax)},
		{"an empty value is missing", "delimited", "date,tmin_c,tmax_c,tmean_c\n2031-05-01,,9,\n", feed.Options{}, day("2031-05-01", nan, 9, nan)},
		{"-99.9 where it is declared missing", "delimited", "Date        Value\n2031-05-01   -99.9\n", feed.Options{Unit: "C", Separator: "tab", Missing: []string{"-99.9"}}, day("2031-05-01", nan, nan, nan)},
	} {
		if row.opt.Separator == "tab" { // columns of a file that was aligned by blanks come with tabs
			row.body, row.opt.Separator = strings.NewReplacer("        ", "\t", "   ", "\t").Replace(row.body), ""
			row.opt.Columns = map[string]string{"date": "Date", "tmean": "Value"}
		}
		b, err := feed.Parse(row.format, strings.NewReader(row.body), row.opt)
		if err != nil || len(b.Days) == 0 {
			t.Errorf("%s: %v", row.sentence, err)
			continue
		}
		checkBatch(t, b)
		sameDays(t, row.sentence, judged(b)[:1], []weather.Day{row.want})
	}
}

// What of real files can't be read rightly is refused by name.
func TestDirtThatIsRefused(t *testing.T) {
	for _, row := range []struct {
		sentence, format, body string
		opt                    feed.Options
		says                   string
	}{
		{"an order of CDO without a unit", "ghcn-cdo", "STATION           DATE     TAVG\n----------------- -------- -----\nGHCND:ZZE00000001 20310501 37\n", feed.Options{}, "unit"},
		{"a logger's three orders of a date", "logger", "Date Time, GMT+00:00;Temp, °C\n04.08.21 10:00;5\n04.08.21 11:00;6\n", feed.Options{Zone: time.UTC}, "nothing proves the order"},
		{"a comma for both", "logger", "\"Date Time, GMT+00:00\",Temp °C\n2031-05-01 00:00,18,771\n", feed.Options{Zone: time.UTC}, "can't be told apart"},
		{"a page of HTML for data, with status 200", "smhi-metobs", "<html><body>maintenance</body></html>", feed.Options{}, "HTML page"},
	} {
		refused(t, row.sentence, row.format, row.body, row.opt, row.says)
	}
}

// A few days of the real stations have their minimum above their maximum:
// kept, marked and counted, never used.
func TestRealDaysWithTheMinimumAboveTheMaximum(t *testing.T) {
	marked := 0
	for _, station := range []string{"HQ", "STA1", "STA6", "STA14", "STA17", "STA23"} {
		b := parse(t, "delimited", real(t, "data/daily_hubbard_brook_"+station+".csv"), feed.Options{})
		for _, d := range judged(b) {
			if d.MinC > d.MaxC != (d.Mark == weather.MinAboveMax) {
				t.Errorf("%s: %v", station, d)
			}
			if d.Mark == weather.MinAboveMax {
				marked++
			}
		}
	}
	if marked == 0 {
		t.Error("none was found, though there are some")
	}
}

// judged gives the days as the programme keeps them.
func judged(b feed.Batch) []weather.Day {
	days, _ := weather.JudgeAll(b.Days)
	return days
}
