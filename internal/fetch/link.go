package fetch

import (
	"context"
	"net/url"
)

// follow asks a page of links, and then the address on it that is looked for.
// What is remembered of the last answer is the data's, not the page's.
func (c *Client) follow(ctx context.Context, a ask) (Response, error) {
	page := a.Request
	page.Link, page.IfModifiedSince, page.ETag = nil, "", ""
	resp, err := c.Get(ctx, page)
	if err != nil {
		return Response{}, err
	}
	found := a.Link.Find(resp.Body)
	if len(found) == 0 {
		return Response{}, a.fail(fault{kind: ErrNothing, text: "the page names no file of the station (" + a.Link.String() + "): correct id, or the station has none of these years"})
	}
	ref, err := url.Parse(string(found))
	if err != nil {
		return Response{}, a.fail(fault{cause: err, text: "the page names a file by an address that can't be read: tell us which page it is"})
	}
	data := a.Request
	data.Link, data.URL = nil, a.url.ResolveReference(ref).String()
	return c.Get(ctx, data)
}
