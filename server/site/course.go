package site

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"strings"
	"time"

	"handrule/scenarios/lesson"
	"handrule/static"
	"handrule/web"
	"handrule/words"
)

// Course returns lessons as a package for a learning platform: a zip file in the form of SCORM 1.2 (Advanced Distributed Learning, SCORM Version
// 1.2, 2001: the Content Packaging in its part on the content aggregation model). Every lesson is a unit that reports score, status, time and progress
// by itself (web/src/platform/platform.ts). The offer's lessons are those of the package, and all of its arms and cells are in it.
func Course(o Options, in *words.Language, title string) ([]byte, error) {
	inFolder, pictures, err := o.versioned()
	if err != nil {
		return nil, err
	}
	const folder = "files/"
	var common []file
	for _, f := range inFolder {
		if f.name == static.BenchProgram+".gz" || f.name == static.ImportProgram+".gz" || !isPacked(f.name) && f.name != "offline.js" && f.name != "entry.js" {
			common = append(common, file{folder + f.name, f.text})
		}
	}
	common = append(common, pictures...)
	all := common
	m := manifest{
		XMLName: xml.Name{Local: "manifest"}, Identifier: "handrule-" + digest(common), Version: "1.0",
		NS: "http://www.imsproject.org/xsd/imscp_rootv1p1p2", ADL: "http://www.adlnet.org/xsd/adlcp_rootv1p2", XSI: "http://www.w3.org/2001/XMLSchema-instance",
		Schemas:  "http://www.imsproject.org/xsd/imscp_rootv1p1p2 imscp_rootv1p1p2.xsd http://www.adlnet.org/xsd/adlcp_rootv1p2 adlcp_rootv1p2.xsd",
		Metadata: manifestMetadata{"ADL SCORM", "1.2"},
	}
	m.Organizations.Default = "course"
	m.Organizations.Organization.Identifier = "course"
	m.Organizations.Organization.Title = title
	for i, l := range o.Offer.Lessons {
		pages, err := coursePages(l, folder, m.Identifier)
		if err != nil {
			return nil, err
		}
		all = append(all, pages...)
		unit, resource := fmt.Sprintf("unit-%d", i+1), fmt.Sprintf("lesson-%d", i+1)
		m.Organizations.Organization.Items = append(m.Organizations.Organization.Items, manifestItem{unit, resource, "true", l.TitleIn(in)})
		m.Resources = append(m.Resources, manifestResource{
			Identifier: resource, Type: "webcontent", Scorm: "sco", Href: pageOf(l, in), Files: named(pages), Needs: &manifestNeed{"common"},
		})
	}
	m.Resources = append(m.Resources, manifestResource{Identifier: "common", Type: "webcontent", Scorm: "asset", Files: named(common)})
	text, err := xml.MarshalIndent(m, "", "  ")
	if err != nil {
		return nil, err
	}
	return zipped(append([]file{{"imsmanifest.xml", append([]byte(xml.Header), text...)}}, all...))
}

// pageOf is the name of a lesson's page.
func pageOf(l *lesson.Lesson, in *words.Language) string { return l.ID + "." + in.Code + ".html" }

// coursePages are a lesson's pages, one for each language.
func coursePages(l *lesson.Lesson, folder, version string) (all []file, err error) {
	for _, in := range words.Languages {
		place := web.Place{
			Program: version, Bundle: folder, Icon: folder + "icon.svg", Notices: folder + "notices.txt", Own: folder, Lesson: l.ID, Pages: l.ID + ".", Policy: policy(),
		}
		var page bytes.Buffer
		if err := web.Page().Render(web.At(web.In(context.Background(), in), place), &page); err != nil {
			return nil, err
		}
		all = append(all, file{pageOf(l, in), page.Bytes()})
	}
	return all, nil
}

// zipped packs files, the same ones to the same bytes.
func zipped(all []file) ([]byte, error) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range all {
		method := zip.Deflate
		if isPacked(f.name) || strings.HasSuffix(f.name, ".png") || strings.HasSuffix(f.name, ".jpg") {
			method = zip.Store
		}
		to, err := w.CreateHeader(&zip.FileHeader{Name: f.name, Method: method, Modified: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)})
		if err != nil {
			return nil, err
		}
		if _, err := to.Write(f.text); err != nil {
			return nil, err
		}
	}
	err := w.Close()
	return out.Bytes(), err
}

func named(all []file) (names []manifestFile) {
	for _, f := range all {
		names = append(names, manifestFile{f.name})
	}
	return names
}

// manifest is imsmanifest.xml.
type manifest struct {
	XMLName       xml.Name
	Identifier    string           `xml:"identifier,attr"`
	Version       string           `xml:"version,attr"`
	NS            string           `xml:"xmlns,attr"`
	ADL           string           `xml:"xmlns:adlcp,attr"`
	XSI           string           `xml:"xmlns:xsi,attr"`
	Schemas       string           `xml:"xsi:schemaLocation,attr"`
	Metadata      manifestMetadata `xml:"metadata"`
	Organizations struct {
		Default      string `xml:"default,attr"`
		Organization struct {
			Identifier string         `xml:"identifier,attr"`
			Title      string         `xml:"title"`
			Items      []manifestItem `xml:"item"`
		} `xml:"organization"`
	} `xml:"organizations"`
	Resources []manifestResource `xml:"resources>resource"`
}

type manifestMetadata struct {
	Schema  string `xml:"schema"`
	Version string `xml:"schemaversion"`
}

type manifestItem struct {
	Identifier string `xml:"identifier,attr"`
	Resource   string `xml:"identifierref,attr"`
	Visible    string `xml:"isvisible,attr"`
	Title      string `xml:"title"`
}

type manifestResource struct {
	Identifier string         `xml:"identifier,attr"`
	Type       string         `xml:"type,attr"`
	Scorm      string         `xml:"adlcp:scormtype,attr"`
	Href       string         `xml:"href,attr,omitempty"`
	Files      []manifestFile `xml:"file"`
	Needs      *manifestNeed  `xml:"dependency"`
}

type manifestFile struct {
	Href string `xml:"href,attr"`
}

type manifestNeed struct {
	Of string `xml:"identifierref,attr"`
}
