package server

import (
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"regexp"
	"strings"
)

// Front is how people reach the server, where that is not by the address it listens on.
type Front struct {
	// Public is the page's address as people type it, such as https://college.example/arm/; nil: the one it listens on. Its path
	// is taken off requests that come with it.
	Public *url.URL
	// Proxies are the addresses of reverse proxies, whose word for where a request comes from (X-Forwarded-For) is taken. Nobody
	// else's is.
	Proxies []netip.Prefix
	// Frames are the sites that may show the page in a frame, as a Content-Security-Policy names them.
	Frames []string
}

// NewFront reads how people reach the server, as the command line has it.
func NewFront(public string, proxies, frames []string) (f Front, err error) {
	if public != "" {
		if f.Public, err = url.Parse(public); err != nil || f.Public.Host == "" || f.Public.Scheme != "http" && f.Public.Scheme != "https" || f.Public.RawQuery+f.Public.Fragment != "" {
			return f, fmt.Errorf("--public-url must be like https://college.example/arm/, not %q", public)
		}
		f.Public.Path = "/" + strings.Trim(f.Public.Path, "/") + "/"
		f.Public.Path = strings.ReplaceAll(f.Public.Path, "//", "/")
	}
	for _, text := range proxies {
		prefix, err := netip.ParsePrefix(text)
		if err != nil {
			at, one := netip.ParseAddr(text)
			if one != nil {
				return f, fmt.Errorf("--proxy must be an address or a network, such as 127.0.0.1 or 10.0.0.0/8, not %q", text)
			}
			prefix = netip.PrefixFrom(at, at.BitLen())
		}
		f.Proxies = append(f.Proxies, prefix.Masked())
	}
	for _, site := range frames {
		if !frameSite.MatchString(site) {
			return f, fmt.Errorf("--frame-ancestors must be a site, such as https://college.example, or self, not %q", site)
		}
		if site == "self" {
			site = "'self'"
		}
		f.Frames = append(f.Frames, site)
	}
	return f, nil
}

// frameSite is a site as a policy may name it (Content Security Policy Level 3, 2.3.1), and nothing that could end the list.
var frameSite = regexp.MustCompile(`^(self|https?://(\*\.)?[A-Za-z0-9.-]+(:[0-9]{1,5})?)$`)

// noAncestors lets no site show the page in a frame.
const noAncestors = "'none'"

// ancestors are the sites that may show the page in a frame.
func (f *Front) ancestors() string {
	if len(f.Frames) == 0 {
		return noAncestors
	}
	return strings.Join(f.Frames, " ")
}

// path is where the page lies on its host.
func (f *Front) path() string {
	if f.Public == nil {
		return "/"
	}
	return f.Public.Path
}

// origins are the hosts whose pages may connect, besides the one that a request names.
func (f *Front) origins() []string {
	if f.Public == nil {
		return nil
	}
	return []string{f.Public.Host}
}

// hosts refuses requests by another name than those that the server is known by: its public one and, where it listens for this machine alone,
// local ones. So a foreign site cannot reach it through a name of its own.
func (f *Front) hosts(localOnly bool) func(http.Handler) http.Handler {
	return func(next http.Handler) http.Handler {
		if !localOnly && f.Public == nil {
			return next // It is reached by any name that leads to it.
		}
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			switch {
			case f.Public != nil && strings.EqualFold(r.Host, f.Public.Host), isLocal(r.Host):
				next.ServeHTTP(w, r)
			case f.Public != nil:
				http.Error(w, "this sandbox answers as "+f.Public.String()+"; open that", http.StatusForbidden)
			default:
				http.Error(w, "this sandbox answers only on this machine; open it as http://localhost, or start it with --listen or --public-url", http.StatusForbidden)
			}
		})
	}
}

// isLocal reports whether a request's Host is this machine's own.
func isLocal(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback() || host == "[::1]"
}

// below takes the public path off requests that come with it: a reverse proxy may leave it on or not.
func (f *Front) below(next http.Handler) http.Handler {
	if f.Public == nil || f.Public.Path == "/" {
		return next
	}
	path := strings.TrimSuffix(f.Public.Path, "/")
	stripped := http.StripPrefix(path, next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case r.URL.Path == path:
			http.Redirect(w, r, f.Public.Path, http.StatusMovedPermanently) // Addresses in the page are relative to its folder.
		case strings.HasPrefix(r.URL.Path, f.Public.Path):
			stripped.ServeHTTP(w, r)
		default:
			next.ServeHTTP(w, r)
		}
	})
}

// from is the address that a request comes from: what the proxies say, read from the nearest on, as far as they are known.
func (f *Front) from(r *http.Request) string {
	remote := r.RemoteAddr
	said := strings.Split(strings.Join(r.Header.Values("X-Forwarded-For"), ","), ",")
	for i := len(said) - 1; i >= 0 && f.trusts(remote); i-- {
		at, err := netip.ParseAddr(strings.TrimSpace(said[i]))
		if err != nil {
			break
		}
		remote = netip.AddrPortFrom(at, 0).String()
	}
	return remote
}

func (f *Front) trusts(remote string) bool {
	at, err := netip.ParseAddrPort(remote)
	if err != nil {
		return false
	}
	for _, p := range f.Proxies {
		if p.Contains(at.Addr().Unmap()) {
			return true
		}
	}
	return false
}
