package cli

import (
	"context"
	"flag"
)

// command is one thing that can be typed after budcall.
type command struct {
	name     string
	operands string // as the help writes them: FILE
	least    int    // how many operands there must be
	most     int    // how many there may be, where more than least
	purpose  string // one line
	text     string // what else a user must know
	example  string // command lines, one a line
	define   func(*flag.FlagSet) action
}

// action does a command once its options are read.
type action func(ctx context.Context, operands []string, s Streams) error

// commands gives the commands in the order in which help lists them.
func commands() []command {
	return []command{
		demoCommand, checkCommand, runCommand, whyCommand, reportCommand, lotsCommand, labCommand, isolationCommand, trailCommand, importCommand, exportCommand, owedCommand, backupCommand, restoreCommand, forgetCommand, testMailCommand, settingsCommand, boardLinkCommand, calendarLinkCommand, settingsLinkCommand, withdrawLinksCommand, seasonReportCommand, heatCommand, readCommand, stationsCommand, pullCommand, scoreCommand, replayCommand, rehearseCommand, versionCommand,
	}
}

func find(name string) (command, bool) {
	for _, c := range commands() {
		if c.name == name {
			return c, true
		}
	}
	return command{}, false
}

func names() []string {
	out := []string{"help"}
	for _, c := range commands() {
		out = append(out, c.name)
	}
	return out
}
