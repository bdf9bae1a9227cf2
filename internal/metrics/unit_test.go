package metrics_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const unit = deploy + "budcall.service"

func TestUnitShutsTheProgramIn(t *testing.T) {
	// The threshold is in tenths: 1.5 of 10, where 10 is wide open.
	run(t, nil, "systemd-analyze", "security", "--offline=true", "--threshold=15", "--no-pager", unit)
}

func TestUnitIsUnderstoodBySystemd(t *testing.T) {
	text := read(t, unit)
	const program = "/usr/local/bin/budcall"
	if !strings.Contains(text, "ExecStart="+program+" run /etc/budcall\n") {
		t.Fatalf("%s doesn't run %s", unit, program)
	}
	// A program that is there, since ours isn't installed where tests run.
	there, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	copied := filepath.Join(t.TempDir(), "budcall.service")
	if err := os.WriteFile(copied, []byte(strings.Replace(text, "ExecStart="+program, "ExecStart="+there, 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	if out := run(t, nil, "systemd-analyze", "verify", "--man=no", copied); strings.Contains(out, "budcall.service") {
		t.Errorf("systemd says:\n%s", out)
	}
}

func TestUnitAndWatchdogAgree(t *testing.T) {
	text := read(t, unit)
	for _, line := range []string{
		"Type=notify", "NotifyAccess=main", // what Notify speaks to
		"WatchdogSec=60",     // what Watchdog serves
		"TimeoutStopSec=45s", // above the 30 s in which the program ends
		"DynamicUser=yes", "StateDirectory=budcall",
		"LoadCredential=database:/etc/budcall.secrets/database",
		"WantedBy=multi-user.target",
	} {
		if !strings.Contains(text, "\n"+line+"\n") {
			t.Errorf("%s lacks %s", unit, line)
		}
	}
}
