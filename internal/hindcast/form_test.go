package hindcast_test

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/hindcast"
	"budcall/internal/weather"
)

// plain is three observations in the plainest form.
const plain = "series,site,tree,species,phase,lat,year,doy,temperature_file\n" +
	"own,Ashholm,T1,Betula pendula,bud break,61.5,2030,139,north.csv\n" +
	"own,Ashholm,T2,Betula pendula,bud break,61.5,2030,140,north.csv\n" +
	"own,\"Carrlund, low\",T1,Betula pendula,bud break,60.25,2029,133,north.csv\n"

// The same observations, however the file is written.
func TestObservationsInEveryForm(t *testing.T) {
	want, refused, err := hindcast.ReadObservations(strings.NewReader(plain))
	if err != nil || len(refused) > 0 || len(want) != 3 || want[2].Site != "Carrlund, low" || want[0].Day != civil.Of(2030, 5, 19) {
		t.Fatalf("%v %v %v", want, refused, err)
	}
	for name, text := range map[string]string{
		"Windows' ends of lines":       strings.ReplaceAll(plain, "\n", "\r\n"),
		"a mark of byte order":         "\ufeff" + plain,
		"a mark and comments before":   "\ufeff# made by hand\n\n" + plain,
		"no end of the last line":      strings.TrimSuffix(plain, "\n"),
		"upper-case headers":           strings.Replace(plain, "series,site,tree,species,phase,lat,year,doy", "Series, SITE,Tree,SPECIES,Phase,Latitude,YEAR,DOY", 1),
		"everything in quotes":         "\"series\",\"site\",\"tree\",\"species\",\"phase\",\"lat\",\"year\",\"doy\",\"temperature_file\"\n" + strings.SplitN(plain, "\n", 2)[1],
		"semicolons, decimal commas":   "series;site;tree;species;phase;lat;year;doy;temperature_file\nown;Ashholm;T1;Betula pendula;bud break;61,5;2030;139;north.csv\nown;Ashholm;T2;Betula pendula;bud break;61,5;2030;140,2;north.csv\nown;Carrlund, low;T1;Betula pendula;bud break;60,25;2029;133,0;north.csv\n",
		"tabs":                         strings.NewReplacer("\"Carrlund, low\"", "Carrlund, low", ",", "\t", "Carrlund, low", "Carrlund, low").Replace(plain),
		"dates":                        strings.NewReplacer("year,doy", "Date", "2030,139", "2030-05-19", "2030,140", "2030-05-20", "2029,133", "2029-05-13").Replace(plain),
		"dates with dots, and times":   strings.NewReplacer("year,doy", "observed", "2030,139", "19.05.2030", "2030,140", "2030-05-20T16:30", "2029,133", "20290513").Replace(plain),
		"date, year and day of year":   strings.NewReplacer("year,doy", "year,doy,date", "2030,139", "2030,139,2030-05-19", "2030,140", "2030,140,2030-05-20", "2029,133", "2029,133,2029/05/13").Replace(plain),
		"years as spreadsheets do":     strings.NewReplacer("2030,139", "2030.0,139.0").Replace(plain),
		"columns besides, and regions": strings.NewReplacer("series,site", "remark,series,region", "own,", ",own,").Replace(plain),
	} {
		got, refused, err := hindcast.ReadObservations(strings.NewReader(text))
		for i := range got {
			got[i].Line = i + 2
		}
		if err != nil || len(refused) > 0 || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %v %v\n%+v", name, err, refused, got)
		}
	}
}

// What is missing has a default, or the line is refused.
func TestColumnsThatAreMissing(t *testing.T) {
	got, _, err := hindcast.ReadObservations(strings.NewReader("tree,species,phase,date,temperature_file\nT1,B,c,2030-05-01,x.csv\n"))
	if err != nil || len(got) != 1 || got[0].Site != "T1" || got[0].Tree != "" || got[0].Series != "" || !math.IsNaN(got[0].LatitudeDeg) {
		t.Errorf("%+v %v", got, err)
	}
	for text, want := range map[string]string{
		"x,2030-05-01":           "is no day",                                             // the line is too short
		"A,3/4/2030":             `"3/4/2030" is no day: write YYYY-MM-DD`,                // April or March
		"A,2030-05-01,2031":      "the day is 2030-05-01 and the year 2031",               // contradiction
		"A,2030-05-01,2030,140":  "which is day 121 of its year and not 140",              // 31+28+31+30+1
		",2030-05-01":            "it names no site",                                      //
		"A,,2030.5,140":          `"2030.5" is no year`,                                   //
		"A,,2030,366":            `"366" is no day of 2030: write a number from 1 to 365`, //
		"A,,2030,":               `"" is no day of 2030`,                                  //
		`A,"2030-05-01`:          "a quote is not closed",                                 //
		`A,2030-"05"-01`:         "a quote is not closed, or one inside",                  //
		"A,2030-02-30,2030":      `"2030-02-30" is no day`,                                //
		"A,2030-05-01x,2030,121": `"2030-05-01x" is no day`,                               //
	} {
		f := "site,date,year,doy,species,phase,temperature_file\n" + text + "\n"
		if strings.HasPrefix(text, "x,") {
			f = "date,site,year,doy,species,phase,temperature_file\n" + text + "\n"
		}
		got, refused, err := hindcast.ReadObservations(strings.NewReader(f))
		if err != nil || len(got) != 0 || len(refused) != 1 || refused[0].Line != 2 || !strings.Contains(refused[0].Reason, want) {
			t.Errorf("%s: %+v %+v %v, want %q", text, got, refused, err, want)
		}
	}
}

// The same days, however the file is written.
func TestTemperaturesInEveryForm(t *testing.T) {
	want := []weather.Day{{Date: civil.Of(2030, 5, 1), MinC: 2.5, MaxC: 12, MeanC: 7}, {Date: civil.Of(2030, 5, 2), MinC: -1, MaxC: 9, MeanC: 4.5}}
	for name, text := range map[string]string{
		"plain":                     "date,tmin_c,tmax_c,tmean_c\n2030-05-01,2.5,12,7\n2030-05-02,-1,9,4.5\n",
		"another order, and more":   "tmean_c,rain_mm,DATE,TMAX_C,tmin_c\n7,0,2030-05-01,12,2.5\n4.5,3,2030-05-02,9,-1\n",
		"semicolons and commas":     "\ufeffdate;tmin_c;tmax_c;tmean_c\r\n01.05.2030;2,5;12,0;7\r\n02.05.2030;-1;9;4,5\r\n",
		"no units in the names":     "date,tmin,tmax,tmean\n2030-05-01,2.5,12,7\n2030-05-02,-1,9,4.5\n",
		"declared in °F":            "date,tmin_f,tmax_f,tmean_f\n2030-05-01,36.5,53.6,44.6\n2030-05-02,30.2,48.2,40.1\n",
		"days in the wrong order":   "date,tmin_c,tmax_c,tmean_c\n2030-05-02,-1,9,4.5\n2030-05-01,2.5,12,7\n",
		"a day that is there twice": "date,tmin_c,tmax_c,tmean_c\n2030-05-01,2.5,12,7\n2030-05-02,-1,9,4.5\n2030-05-02,0,0,0\n",
	} {
		got, _, err := hindcast.ReadTemperatures(strings.NewReader(text))
		if err != nil || len(got) != 2 {
			t.Errorf("%s: %+v %v", name, got, err)
			continue
		}
		for i, d := range got {
			if d.Date != want[i].Date || d.Mark != weather.Usable || math.Abs(d.MinC-want[i].MinC) > 1e-9 || math.Abs(d.MaxC-want[i].MaxC) > 1e-9 || math.Abs(d.MeanC-want[i].MeanC) > 1e-9 {
				t.Errorf("%s: %+v, want %+v", name, d, want[i])
			}
		}
	}
	mid, _, err := hindcast.ReadTemperatures(strings.NewReader("date,tmin_c,tmax_c\n2030-05-01,2.5,12\n"))
	if err != nil || len(mid) != 1 || !math.IsNaN(mid[0].MeanC) || mid[0].MinC != 2.5 {
		t.Errorf("minimum and maximum alone: %+v %v", mid, err)
	}
}

func TestTemperaturesThatAreWrong(t *testing.T) {
	for text, want := range map[string]string{
		"date,tmean_c\n2030-05-01,x\n":                                              `line 2: tmean of 2030-05-01 is "x"`,
		"date,tmean_c\n2030-05-01,3\n2030-05-01,4\n":                                "line 3: 2030-05-01 is there twice",
		"date,tmin_c,tmax_c\n2030-05-01,9,3\n":                                      "line 2: min above max on 2030-05-01",
		"date,tmin_c,tmax_c\n2030-05-01,9,3\n2030-05-02,9,3\n":                      "line 2: min above max on 2 days, the first of them 2030-05-01",
		"date,tmin_c,tmax_c,tmean_c\n2030-05-01,2,8,5\n2030-05-02,2,8,\n":           "line 0: 1 days have a mean, and on 1 others (min+max)/2 stands in",
		"date,tmean_c\nlater,3\n":                                                   `line 2: "later" is no day`,
		"date,tmax_c\n2030-07-01,75\n2030-07-02,76\n2030-07-03,77\n2030-07-04,78\n": "line 0: the temperatures look like degrees Fahrenheit",
	} {
		_, refused, err := hindcast.ReadTemperatures(strings.NewReader(text))
		if err != nil || len(refused) != 1 || !strings.Contains(fmt.Sprintf("line %d: %s", refused[0].Line, refused[0].Reason), want) {
			t.Errorf("%q: %+v %v, want %q", text, refused, err, want)
		}
	}
	for text, want := range map[string]string{
		"":                    "reading the header",
		"date,rain\n1,2\n":    "no column holds temperatures",
		"when,tmean_c\n1,2\n": "no column is called date",
	} {
		if _, _, err := hindcast.ReadTemperatures(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

func FuzzTemperatures(f *testing.F) {
	f.Add("date,tmin_c,tmax_c,tmean_c\n2030-05-01,1,2,1.5\n")
	f.Add("date;tmean_f\n01.05.2030;50,2\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		days, _, err := hindcast.ReadTemperatures(strings.NewReader(text))
		for i, d := range days {
			if err != nil || i > 0 && days[i-1].Date >= d.Date || math.IsInf(d.MeanC, 0) {
				t.Fatalf("%+v %v", d, err)
			}
		}
	})
}

func TestListOfSeries(t *testing.T) {
	got, err := hindcast.ReadList(strings.NewReader("# ours\nphase;species;series;per\nbud break;Betula pendula;own;\nleaves;Alnus;;tree\n"))
	want := []hindcast.Listed{{Series: "own", Species: "Betula pendula", Phase: "bud break"}, {Species: "Alnus", Phase: "leaves", Per: hindcast.PerTree}}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v %v", got, err)
	}
	for text, want := range map[string]string{
		"":                                "reading the header",
		"species\nx\n":                    "the columns species and phase are needed",
		"species,phase\n":                 "no line names a series",
		"species,phase\nx,\n":             "line 2: no species or no phase is named",
		"species,phase,per\nx,y,forest\n": `line 2: nothing is scored per "forest"`,
		"species,phase\nx,\"y\n":          "line 2: a quote is not closed",
	} {
		if _, err := hindcast.ReadList(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}
