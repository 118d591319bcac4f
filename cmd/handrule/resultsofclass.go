package main

import (
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"handrule/internal/files"
	"handrule/internal/visible"
	"handrule/scenarios/form"
	"handrule/scenarios/results"
)

// tell is which identifiers are told; nil for all.
func (c resultsCommand) tell() ([]string, error) {
	if len(c.Tell) == 0 {
		return nil, nil
	}
	tell := []string{}
	for _, column := range c.Tell {
		switch {
		case slices.Contains(results.Identifiers, column):
			tell = append(tell, column)
		case column != "none":
			return nil, fmt.Errorf("--tell is some of %s, or none, not %q", strings.Join(results.Identifiers, ", "), column)
		}
	}
	return tell, nil
}

const (
	mostOfClass  = 64 << 20 // bytes that the results of a class may be
	waitForClass = time.Minute
)

// ofClass asks a server for the results that have arrived in a class, as they were signed.
func (c resultsCommand) ofClass() ([]string, error) {
	text, err := c.fetch("results", nil)
	if err != nil {
		return nil, err
	}
	var all struct {
		Class   string   `json:"class"`
		Results []string `json:"results"`
	}
	if err := json.Unmarshal(text, &all); err != nil || all.Class == "" {
		return nil, fmt.Errorf("%s is no server of classes: its answer cannot be read", c.Server)
	}
	return all.Results, nil
}

// answersOfClass prints what was answered to the questions of a class, as the server tabulates it.
func (c resultsCommand) answersOfClass(out io.Writer) error {
	tell, err := c.tell()
	if err != nil {
		return err
	}
	query := url.Values{}
	if tell != nil {
		query.Set("tell", strings.Join(tell, ","))
	}
	if !c.BOM {
		query.Set("bom", "0")
	}
	text, err := c.fetch("answers.csv", query)
	if err != nil {
		return err
	}
	_, err = out.Write(text)
	return err
}

// fetch asks a server for a file of the class.
func (c resultsCommand) fetch(file string, query url.Values) ([]byte, error) {
	address, err := classAddress(c.Server, c.Class, file)
	if err != nil {
		return nil, err
	}
	if len(query) > 0 {
		address += "?" + query.Encode()
	}
	path, err := linkFile()
	if err != nil {
		return nil, err
	}
	secret, err := files.Read(path, longestLink)
	if err != nil {
		return nil, fmt.Errorf("the instructor's link is not kept here: %w; handrule serve makes it, on the machine that has the class", err)
	}
	request, err := http.NewRequest(http.MethodGet, address, nil)
	if err != nil {
		return nil, err
	}
	request.Header.Set("Authorization", "Bearer "+strings.TrimSpace(string(secret)))
	client := &http.Client{Timeout: waitForClass, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	answer, err := client.Do(request)
	if err != nil {
		return nil, noAnswer(c.Server, err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(io.LimitReader(answer.Body, mostOfClass+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("the server's answer broke off: %w", err)
	case answer.StatusCode != http.StatusOK:
		return nil, fmt.Errorf("%s says: %s", c.Server, said(answer.Status, text))
	case len(text) > mostOfClass:
		return nil, errors.New("the server's answer is larger than the results of a class can be")
	}
	return text, nil
}

// noAnswer says why a server did not answer, and what to do about it.
func noAnswer(server string, err error) error {
	const here = "A class is with the server that has it: start that with handrule serve, or name its address with --server"
	var (
		name *net.DNSError
		dial *net.OpError
		cert *tls.CertificateVerificationError
		way  *url.Error
	)
	timeout := errors.As(err, &way) && way.Timeout()
	switch {
	case errors.As(err, &name):
		return fmt.Errorf("%s: no machine is known by the name %s; name the server as its pages are opened, with --server", server, form.Quoted(name.Name))
	case timeout:
		return fmt.Errorf("%s: no answer came within %v. %s", server, waitForClass, here)
	case errors.As(err, &dial) && dial.Op == "dial":
		return fmt.Errorf("%s: no server runs there. %s", server, here)
	case errors.As(err, &cert):
		return fmt.Errorf("%s: its certificate is not trusted on this machine (%w); name the server as its certificate does", server, cert.Err)
	case way != nil:
		err = way.Err
	}
	return fmt.Errorf("%s: what answers there is no server of classes (%w); name the server as its pages are opened, with --server", server, err)
}

// classAddress is where a server has a file of a class. The instructor's secret goes there, so that the way is encrypted, or
// does not leave this machine.
func classAddress(server, code, file string) (string, error) {
	u, err := url.Parse(server)
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return "", fmt.Errorf("--server is an address such as https://college.example/arm/, not %q", server)
	}
	if host := net.ParseIP(u.Hostname()); u.Scheme == "http" && u.Hostname() != "localhost" && (host == nil || !host.IsLoopback()) {
		return "", fmt.Errorf("%s would get the instructor's link over a way that others can read; ask on the machine itself, or over https", server)
	}
	return u.JoinPath("class", code, file).String(), nil
}

// said is what a server said, in one line.
func said(status string, text []byte) string {
	line, _, _ := strings.Cut(strings.TrimSpace(string(text)), "\n")
	if line == "" || len(line) > 200 {
		return status
	}
	return visible.Text(line)
}
