package site_test

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"handrule/internal/reference"
	"handrule/server/site"
	"handrule/words"
)

func course(t *testing.T) (manifest string, names []string) {
	t.Helper()
	o := options()
	o.Offer.Lessons = o.Offer.Lessons[:2]
	text, err := site.Course(o, words.English, "A course & more")
	if err != nil {
		t.Fatal(err)
	}
	if again, err := site.Course(o, words.English, "A course & more"); err != nil || !bytes.Equal(text, again) {
		t.Errorf("the same lessons make another package: %v", err)
	}
	z, err := zip.NewReader(bytes.NewReader(text), int64(len(text)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if f.Name == "imsmanifest.xml" {
			manifest = string(text)
			continue
		}
		names = append(names, f.Name)
		if strings.HasSuffix(f.Name, ".html") {
			for _, absolute := range regexp.MustCompile(`(?:src|href)="(/|https?:)[^"]*"`).FindAllString(string(text), -1) {
				t.Errorf("%s asks elsewhere: %s", f.Name, absolute)
			}
			lesson, _, _ := strings.Cut(f.Name, ".")
			if !strings.Contains(string(text), `data-lesson="`+lesson+`"`) {
				t.Errorf("%s is not for its lesson", f.Name)
			}
		}
	}
	return manifest, names
}

// The manifest is the package's first file, is XML, and names every other file once, each lesson as a unit of its own.
func TestTheManifestOfACourse(t *testing.T) {
	manifest, names := course(t)
	var read struct {
		Items []struct {
			Of    string `xml:"identifierref,attr"`
			Title string `xml:"title"`
		} `xml:"organizations>organization>item"`
		Resources []struct {
			ID    string `xml:"identifier,attr"`
			Href  string `xml:"href,attr"`
			Kind  string `xml:"scormtype,attr"`
			Files []struct {
				Href string `xml:"href,attr"`
			} `xml:"file"`
		} `xml:"resources>resource"`
	}
	if err := xml.Unmarshal([]byte(manifest), &read); err != nil {
		t.Fatal(err)
	}
	var named, units []string
	for _, r := range read.Resources {
		if r.Kind == "sco" {
			units = append(units, r.ID)
			if !slices.Contains(names, r.Href) {
				t.Errorf("there is no %s", r.Href)
			}
		}
		for _, f := range r.Files {
			named = append(named, f.Href)
		}
	}
	slices.Sort(names)
	slices.Sort(named)
	if !slices.Equal(names, named) {
		t.Errorf("the files are %q, and named are %q", names, named)
	}
	if len(units) != 2 || len(read.Items) != 2 || read.Items[1].Of != units[1] || read.Items[0].Title == "" {
		t.Errorf("the units are %q, the items %+v", units, read.Items)
	}
}

// The manifest is valid by the published schemas: ADL's for SCORM 1.2 and IMS's for content packages 1.1.2, as an npm package carries them.
func TestTheManifestIsValidByThePublishedSchemas(t *testing.T) {
	schemas := "../../bin/schemas/package/lib/schemas/definitionFiles/scorm12edition"
	if _, err := exec.LookPath("xmllint"); err != nil {
		reference.Skip(t, "xmllint is not installed: a course's manifest is not validated; the package libxml2-utils has it")
	}
	if _, err := os.Stat(schemas); err != nil {
		reference.Skip(t, "the published schemas are not here: a course's manifest is not validated; .ci/tools fetches them with npm")
	}
	whole, err := filepath.Abs(schemas)
	if err != nil {
		t.Fatal(err)
	}
	manifest, _ := course(t)
	dir := t.TempDir()
	both := `<xsd:schema xmlns:xsd="http://www.w3.org/2001/XMLSchema">
  <xsd:import namespace="http://www.imsproject.org/xsd/imscp_rootv1p1p2" schemaLocation="` + whole + `/imscp_rootv1p1p2.xsd"/>
  <xsd:import namespace="http://www.adlnet.org/xsd/adlcp_rootv1p2" schemaLocation="` + whole + `/adlcp_rootv1p2.xsd"/>
</xsd:schema>`
	validate := func(manifest string) (string, error) {
		for name, text := range map[string]string{"both.xsd": both, "imsmanifest.xml": manifest} {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		out, err := exec.Command("xmllint", "--noout", "--nonet", "--schema", filepath.Join(dir, "both.xsd"), filepath.Join(dir, "imsmanifest.xml")).CombinedOutput()
		return string(out), err
	}
	if said, err := validate(manifest); err != nil {
		t.Errorf("%v\n%s", err, said)
	}
	if _, err := validate(strings.Replace(manifest, `scormtype="sco"`, `scormtype="page"`, 1)); err == nil {
		t.Error("a manifest that is wrong is valid too")
	}
}
