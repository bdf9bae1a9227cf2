package stage_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"budcall/internal/civil"
	"budcall/internal/stage"
)

// openObservation is one line of the open observations.
type openObservation struct {
	series, site, species, phase, file string
	year, day                          int // day counts from 1 January as 0
}

func openObservations(t *testing.T) (obs []openObservation, dir string) {
	dir = filepath.Dir(helsinki(t))
	f, err := os.Open(filepath.Join(dir, "observations.csv"))
	if err != nil {
		t.Skipf("the open observations aren't here (%v): set BUDCALL_SHARED to the folder that holds data/", err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	for _, r := range rows[1:] {
		year, err1 := strconv.Atoi(r[at["year"]])
		day, err2 := strconv.ParseFloat(r[at["doy"]], 64)
		if err1 != nil || err2 != nil {
			continue
		}
		obs = append(obs, openObservation{r[at["series"]], r[at["site"]], r[at["species"]], r[at["phase"]], r[at["temperature_file"]], year, int(math.Round(day)) - 1})
	}
	return obs, dir
}

// openSeries is what effects are estimated from, stages in their order.
type openSeries struct {
	series, species string
	phases          []string
}

func (s openSeries) past(t *testing.T) []stage.Past {
	obs, dir := openObservations(t)
	means := map[string]map[int][]float64{}
	sites := map[string]int{}
	w := stage.Warmth{Response: stage.AboveBase, BaseC: 5, Start: march1}
	var past []stage.Past
	for _, o := range obs {
		if o.series != s.series || o.species != s.species {
			continue
		}
		if means[o.file] == nil {
			means[o.file] = map[int][]float64{}
			for _, m := range stage.Means(series(t, filepath.Join(dir, o.file))) {
				y := m.Date.Year()
				if means[o.file][y] == nil {
					means[o.file][y] = make([]float64, 366)
					for i := range means[o.file][y] {
						means[o.file][y][i] = math.NaN()
					}
				}
				means[o.file][y][m.Date-civil.Of(y, 1, 1)] = m.MeanC
			}
		}
		if _, ok := sites[o.site]; !ok {
			sites[o.site] = len(sites)
		}
		for k, phase := range s.phases {
			if phase != o.phase || means[o.file][o.year] == nil {
				continue
			}
			f := w.Feel(w.YearSums(o.year, stage.Bridged(means[o.file][o.year])), o.day-1, o.day)
			if !math.IsNaN(f.LogHeat) && !f.Hardly {
				past = append(past, stage.Past{Site: sites[o.site], Tree: -1, Year: o.year, Stage: k, LogHeat: f.LogHeat, NoiseVar: f.NoiseVar})
			}
		}
	}
	return past
}

// TestDefaultEffectsOnOpenSeries prints what the default effects are rounded
// from: shares of the variance and correlations over the stages, estimated from
// plots and trees that were watched for decades.
func TestDefaultEffectsOnOpenSeries(t *testing.T) {
	for _, s := range []openSeries{
		{"hubbard_brook", "Yellow Birch", []string{"stage_1", "stage_2", "stage_3", "stage_3.5"}},
		{"hubbard_brook", "Sugar Maple", []string{"stage_1", "stage_2", "stage_3", "stage_3.5"}},
		{"harvard_forest", "Betula alleghaniensis", []string{"budbreak_50pct", "leaf_75pct", "flower_budbreak", "flower_open"}},
		{"harvard_forest", "Betula papyrifera", []string{"budbreak_50pct", "leaf_75pct", "flower_budbreak", "flower_open"}},
		{"harvard_forest", "Betula lenta", []string{"budbreak_50pct", "leaf_75pct", "flower_budbreak", "flower_open"}},
	} {
		past := s.past(t)
		n := len(s.phases)
		logs := make([][]float64, n)
		for _, p := range past {
			logs[p.Stage] = append(logs[p.Stage], p.LogHeat)
		}
		e := stage.Effects{MeanVar: 1, SiteVar: 0.2, Year: mat.NewSymDense(n, nil), Residual: mat.NewSymDense(n, nil)}
		var needs []stage.Requirement
		for i := range n {
			m, sd := stat.MeanStdDev(logs[i], nil)
			if len(logs[i]) == 0 {
				m, sd = 4, 1
			}
			e.MeanLog = append(e.MeanLog, 0)
			needs = append(needs, stage.Requirement{MedianCd: math.Exp(m), LogSD: sd})
			for j := i; j < n; j++ {
				c := 0.5
				if i == j {
					c = 1
				}
				e.Year.SetSym(i, j, 0.4*c)
				e.Residual.SetSym(i, j, 0.4*c)
			}
		}
		for i, p := range past {
			past[i] = needs[p.Stage].Standard(stage.Sight{Past: p}).Past
		}
		known, err := stage.Estimate(e, past, stage.Weights{Site: 2, Year: 4, Residual: 4, Rounds: 60})
		if err != nil {
			t.Fatal(err)
		}
		got := known.Effects()
		t.Logf("%s %s: %d reports; site %.2f", s.series, s.species, len(past), got.SiteVar)
		for i := range n {
			t.Logf("  %-16s n %3d median %.0f °C·d SD %.2f year %.2f residual %.2f; years' correlations %s; residuals' %s", s.phases[i], len(logs[i]), needs[i].MedianCd, needs[i].LogSD,
				got.Year.At(i, i), got.Residual.At(i, i), correlations(got.Year, i), correlations(got.Residual, i))
			if s.series != "hubbard_brook" || i == 0 {
				continue
			}
			apart := math.Log(needs[i].MedianCd / needs[i-1].MedianCd)
			between(t, s.species+" "+s.phases[i]+": length of years", -apart/math.Log(correlation(got.Year, i-1, i)), 0.9, 2)
			between(t, s.species+" "+s.phases[i]+": length of residuals", -apart/math.Log(correlation(got.Residual, i-1, i)), 0.45, 0.85)
			between(t, s.species+" "+s.phases[i]+": share of years", got.Year.At(i, i), 0.30, 0.50)
			between(t, s.species+" "+s.phases[i]+": share of residuals", got.Residual.At(i, i), 0.40, 0.55)
		}
		between(t, s.species+": share of sites", got.SiteVar, 0.10, 0.25)
	}
}

func correlations(m *mat.SymDense, i int) (out string) {
	for j := range m.SymmetricDim() {
		out += " " + strconv.FormatFloat(correlation(m, i, j), 'f', 2, 64)
	}
	return out
}

func correlation(m *mat.SymDense, i, j int) float64 {
	return m.At(i, j) / math.Sqrt(m.At(i, i)*m.At(j, j))
}

func between(t *testing.T, what string, got, least, most float64) {
	if !(got >= least && got <= most) {
		t.Errorf("%s %.2f, stated as %.2f to %.2f", what, got, least, most)
	}
}
