package web_test

import (
	"bufio"
	"encoding/json"
	"os"
	"os/exec"
	"testing"
	"time"
)

// browser is a Chromium without a window that is led over a pipe, by the
// Chrome DevTools Protocol: messages end in a zero byte.
type browser struct {
	t       *testing.T
	to      *os.File
	from    *bufio.Reader
	last    int
	session string
}

type message struct {
	ID     int             `json:"id,omitempty"`
	Method string          `json:"method,omitempty"`
	Params any             `json:"params,omitempty"`
	Result json.RawMessage `json:"result,omitempty"`
	Error  *struct {
		Message string `json:"message"`
	} `json:"error,omitempty"`
	Session string `json:"sessionId,omitempty"`
}

// openBrowser starts one with an empty page.
func openBrowser(t *testing.T) *browser {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium isn't installed: apt-get install chromium, then the pages are used in a browser too")
	}
	theirIn, ourOut, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	ourIn, theirOut, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	profile, err := os.MkdirTemp("", "budcall-browser-")
	if err != nil {
		t.Fatal(err)
	}
	// Not with the test's context: that ends before the cleanups run, and would
	// kill the browser while it is being asked to close.
	cmd := exec.Command(path, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--hide-scrollbars", "--user-data-dir="+profile, "--remote-debugging-pipe", "about:blank")
	cmd.ExtraFiles = []*os.File{theirIn, theirOut} // 3 and 4, as the browser expects them
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	theirIn.Close()
	theirOut.Close()
	b := &browser{t: t, to: ourOut, from: bufio.NewReaderSize(ourIn, 1<<20)}
	t.Cleanup(func() {
		late := time.AfterFunc(10*time.Second, func() { _ = cmd.Process.Kill() })
		defer late.Stop()
		b.send("Browser.close", nil)
		_ = cmd.Wait() // it ends by itself, or is killed
		ourOut.Close()
		ourIn.Close()
		_ = os.RemoveAll(profile) // its helpers may still be writing for a moment
	})
	if err := ourIn.SetReadDeadline(time.Now().Add(2 * time.Minute)); err != nil {
		t.Fatal(err)
	}
	var target struct{ TargetID string }
	b.call("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	var attached struct{ SessionID string }
	b.call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &attached)
	b.session = attached.SessionID
	b.call("Page.enable", nil, nil)
	return b
}

func (b *browser) send(method string, params any) {
	b.last++
	raw, err := json.Marshal(message{ID: b.last, Method: method, Params: params, Session: b.session})
	if err != nil {
		b.t.Fatal(err)
	}
	if _, err := b.to.Write(append(raw, 0)); err != nil {
		b.t.Errorf("the browser is gone: %v", err)
	}
}

func (b *browser) next() (m message) {
	b.t.Helper()
	raw, err := b.from.ReadBytes(0)
	if err != nil {
		b.t.Fatalf("the browser says nothing more: %v", err)
	}
	if err := json.Unmarshal(raw[:len(raw)-1], &m); err != nil {
		b.t.Fatal(err)
	}
	return m
}

// call asks for something and waits for the answer.
func (b *browser) call(method string, params, out any) {
	b.t.Helper()
	b.send(method, params)
	for {
		m := b.next()
		switch {
		case m.ID != b.last:
			continue
		case m.Error != nil:
			b.t.Fatalf("%s: %s", method, m.Error.Message)
		}
		if out != nil {
			if err := json.Unmarshal(m.Result, out); err != nil {
				b.t.Fatalf("%s: %v", method, err)
			}
		}
		return
	}
}

// loaded waits for a page to be there.
func (b *browser) loaded() {
	b.t.Helper()
	for b.next().Method != "Page.loadEventFired" {
	}
}

// open goes to an address.
func (b *browser) open(url string) {
	b.t.Helper()
	b.send("Page.navigate", map[string]any{"url": url})
	b.loaded()
}

// size sets the width of the page in CSS pixels, and how many pixels of the
// screen are one of them.
func (b *browser) size(width int, scale float64) {
	b.t.Helper()
	b.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": 800, "deviceScaleFactor": scale, "mobile": false}, nil)
}

// eval gives what an expression is in the page.
func (b *browser) eval(expression string, out any) {
	b.t.Helper()
	var r struct {
		Result struct {
			Value json.RawMessage
		}
		ExceptionDetails *struct {
			Text      string
			Exception struct{ Description string }
		}
	}
	b.call("Runtime.evaluate", map[string]any{"expression": expression, "returnByValue": true, "awaitPromise": true}, &r)
	if r.ExceptionDetails != nil {
		b.t.Fatalf("%.80s: %s %s", expression, r.ExceptionDetails.Text, r.ExceptionDetails.Exception.Description)
	}
	if out != nil {
		if err := json.Unmarshal(r.Result.Value, out); err != nil {
			b.t.Fatalf("%.80s: %v in %s", expression, err, r.Result.Value)
		}
	}
}

// press presses a key: Tab, Enter or Space.
func (b *browser) press(key string) {
	b.t.Helper()
	code := map[string]int{"Tab": 9, "Enter": 13, "Space": 32}[key]
	down := map[string]any{"type": "keyDown", "key": key, "code": key, "windowsVirtualKeyCode": code}
	switch key {
	case "Enter":
		down["text"] = "\r"
	case "Space":
		down["key"], down["text"] = " ", " "
	}
	up := map[string]any{"type": "keyUp", "key": down["key"], "code": key, "windowsVirtualKeyCode": code}
	if key == "Enter" { // a page may follow: who presses waits for it
		b.send("Input.dispatchKeyEvent", down)
		b.send("Input.dispatchKeyEvent", up)
		return
	}
	b.call("Input.dispatchKeyEvent", down, nil)
	b.call("Input.dispatchKeyEvent", up, nil)
}

func (b *browser) typed(text string) {
	b.t.Helper()
	b.call("Input.insertText", map[string]any{"text": text}, nil)
}
