package demo

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"budcall/internal/app"
	"budcall/internal/config"
)

// ours is what stands in for the world in a season that is played: addresses
// on this machine, and where the weather is written.
type ours struct {
	relay   string // host:port of the mail sink
	hook    string // URL of the webhook sink
	secret  string // of the webhook
	outlook string // URL of the forecast service
	weather string // folder of the station files
}

// Names of what the overlay adds.
const (
	hookName    = "demo"
	secretFile  = "demo.secret"
	forecastTag = "metno"
)

// overlay writes the programme's files into another folder, changed where the
// world is replaced by the demo's: relay, webhook, stations, forecasts, ports.
func overlay(from, into string, p *config.Programme, o ours) error {
	files, err := app.ReadDir(from)
	if err != nil {
		return err
	}
	files["programme.yml"] = programmeOverlay(files["programme.yml"], o)
	files["stations.yml"] = stationsOverlay(p, o)
	for name, body := range files {
		path := filepath.Join(into, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return fmt.Errorf("writing the programme that is played: %w", err)
		}
		if err := os.WriteFile(path, body, 0o644); err != nil {
			return fmt.Errorf("writing the programme that is played: %w", err)
		}
	}
	if err := os.WriteFile(filepath.Join(into, secretFile), []byte(o.secret+"\n"), 0o600); err != nil {
		return fmt.Errorf("writing the webhook's secret: %w", err)
	}
	return nil
}

// replaced are the settings of programme.yml that the demo has its own of.
var replaced = []string{"webhooks", "listen", "metrics", "public_url", "database", "inbox"}

// replacedMail are those of its section mail.
var replacedMail = []string{"relay", "tls", "user", "password_file"}

// programmeOverlay replaces settings line by line, so that everything else
// stays as it was written.
func programmeOverlay(body []byte, o ours) []byte {
	var out bytes.Buffer
	section := ""
	for _, line := range strings.Split(strings.TrimRight(string(body), "\n"), "\n") {
		trimmed := strings.TrimLeft(line, " ")
		key, _, isKey := strings.Cut(trimmed, ":")
		top := trimmed == line && isKey && !strings.HasPrefix(line, "#") && !strings.HasPrefix(line, "-")
		if top {
			section = key
		}
		plain := trimmed != "" && !strings.HasPrefix(trimmed, "#")
		if plain && (slices.Contains(replaced, section) || section == "mail" && slices.Contains(replacedMail, key)) {
			continue
		}
		out.WriteString(line + "\n")
		if top && section == "mail" {
			fmt.Fprintf(&out, "  relay: %s\n  tls: none\n", o.relay)
		}
	}
	fmt.Fprintf(&out, "\n# The demo's own.\nlisten: 127.0.0.1:0\nmetrics: 127.0.0.1:0\ninbox:\n  smtp: 127.0.0.1:0\n"+
		"webhooks:\n  - name: %s\n    url: %s\n    secret_files: [%s]\n    allow: [127.0.0.0/8]\n", hookName, o.hook, secretFile)
	return out.Bytes()
}

// stationsOverlay gives the programme's stations with invented files, and its
// forecasts, or else one, with the invented service.
func stationsOverlay(p *config.Programme, o ours) []byte {
	var out bytes.Buffer
	out.WriteString("# The programme's stations, with the demo's weather.\n\nstations:\n")
	for _, st := range p.Stations {
		fmt.Fprintf(&out, "  - code: %s\n    name: %q\n    lat_deg: %v\n    lon_deg: %v\n    altitude_m: %v\n    format: delimited\n    path: %q\n    window: 00-24 UTC\n",
			st.Code, st.Name, st.LatDeg, st.LonDeg, st.AltitudeM, filepath.Join(o.weather, st.Code+".csv"))
	}
	codes := []string{forecastTag}
	if len(p.Forecasts) > 0 {
		codes = nil
		for _, f := range p.Forecasts {
			codes = append(codes, f.Code)
		}
	}
	out.WriteString("\nforecasts:\n")
	for _, code := range codes {
		fmt.Fprintf(&out, "  - code: %s\n    format: metno\n    url: %s\n    contact: %s\n", code, o.outlook, p.Mail.From)
	}
	return out.Bytes()
}
