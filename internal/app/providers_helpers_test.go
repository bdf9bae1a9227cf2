package app

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
	"time"

	"budcall/internal/postgres"
)

// piece is a piece of a pull.
func piece(key string, at time.Time) postgres.Piece {
	return postgres.Piece{ID: 1, Key: key, Phase: postgres.Pull, Run: postgres.Run{Name: runPull, At: at, Due: at}}
}

// bomb is 64 MiB of blanks, packed into some 64 KiB.
func bomb() []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	blanks := bytes.Repeat([]byte(" "), 1<<20)
	for range 64 {
		z.Write(blanks)
	}
	z.Close()
	return b.Bytes()
}

// writePage gives one item of a Frost answer a page, by offset, as the service
// does where an answer is larger than a page; or as it never should.
func writePage(w http.ResponseWriter, r *http.Request, fault string, body []byte) {
	var e map[string]any
	if json.Unmarshal(body, &e) != nil {
		w.Write(body)
		return
	}
	data := e["data"].([]any)
	offset, _ := strconv.Atoi(r.URL.Query().Get("offset"))
	at := offset % len(data) // without end, it begins again
	e["data"], e["currentItemCount"], e["itemsPerPage"], e["offset"] = data[at:at+1], 1, 1, offset
	query := strings.TrimSuffix(r.URL.RawQuery, "&offset="+strconv.Itoa(offset)) + "&offset=" + strconv.Itoa(offset+1)
	switch {
	case fault == "pages elsewhere":
		e["nextLink"] = "https://other.example/observations/v0.jsonld?" + query
	case fault == "pages without end", offset+1 < len(data):
		e["nextLink"] = "http://" + r.Host + r.URL.Path + "?" + query
	}
	json.NewEncoder(w).Encode(e)
}
