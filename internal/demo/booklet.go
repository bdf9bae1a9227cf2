package demo

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"budcall/internal/app"
	"budcall/internal/sheet"
)

// reportDir is the folder of the season's report in the result's.
const reportDir = "report"

// keepReport writes the season's report, as the page and the tables that the
// coordinator gets.
func keepReport(ctx context.Context, dir string, o app.Options) error {
	beside, err := app.Attach(ctx, o)
	if err != nil {
		return err
	}
	season, err := beside.SeasonReport(ctx, seasonYear, o.Version)
	if closed := beside.Close(ctx); err == nil {
		err = closed
	}
	if err != nil {
		return fmt.Errorf("writing the season's report: %w", err)
	}
	files := season.CSV(sheet.CSVOptions{})
	files["season.html"] = season.Page()
	if err := os.Mkdir(dir, 0o755); err != nil {
		return fmt.Errorf("keeping the season's report: %w", err)
	}
	for name, body := range files {
		if err := os.WriteFile(filepath.Join(dir, name), body, 0o644); err != nil {
			return fmt.Errorf("keeping the season's report: %w", err)
		}
	}
	return nil
}
