package sheet_test

import (
	"errors"
	"strings"
	"testing"

	"budcall/internal/sheet"
)

func TestHeadingsInTheLanguagesOfOurOwnPages(t *testing.T) {
	for _, row := range []struct {
		says    string
		kind    sheet.Kind
		header  string
		columns string
	}{
		{"trees as a Finn heads them", sheet.Trees, "koodi;kohde;lyhyt;poissa", "code site short gone"},
		{"trees as a Swede does", sheet.Trees, "Kod;Plats;Kort namn;Borta", "code site short gone"},
		// As internal/words/finnish_season.go and swedish_season.go head the page.
		{"lots as on the Finnish page", sheet.Lots, "Koodi;Kohde;Puu;Laji;Pusseja;Siemenpusseja;Kerätty;Tuli;Vastaanotettu;Kunto", "code site tree kind bags packets picked came received condition"},
		{"lots as on the Swedish page", sheet.Lots, "Kod;Plats;Träd;Slag;Påsar;Fröpåsar;Plockat;Kom;Mottaget;Skick", "code site tree kind bags packets picked came received condition"},
		{"bags as on the Finnish page", sheet.Bags, "Koodi;Kohde;Puu;Laji;Puuhun;Epävarma alkaen;Epäilys;Pois", "code site tree kind on doubtful_since doubt off"},
		{"reports in Finnish", sheet.Reports, "Kohde;Päivä;Laji;Henkilö;Puu", "site day kind person tree"},
	} {
		table, err := sheet.Read([]byte(row.header+"\n"), sheet.Options{Kind: row.kind, File: "in.csv"})
		if err != nil {
			t.Errorf("%s: %v", row.says, err)
		}
		if got := strings.Join(table.Columns, " "); got != row.columns || len(table.Notes) > 0 {
			t.Errorf("%s: read as %q, %q; expected %q", row.says, got, table.Notes, row.columns)
		}
	}
}

func TestMissingColumnsAreNamedWithWhatTheyMayBeHeaded(t *testing.T) {
	_, err := sheet.Read([]byte("koodi;paikkakunta\nK-001;KOLMI\n"), sheet.Options{Kind: sheet.Trees, File: "in.csv"})
	var r *sheet.Reject
	if !errors.As(err, &r) || r.What != "there are no columns site, short" || !strings.Contains(r.Cure, "kohde") || !strings.Contains(r.Cure, "kortnamn") {
		t.Errorf("%v, expected both columns, with Finnish and Swedish headings", err)
	}
}
