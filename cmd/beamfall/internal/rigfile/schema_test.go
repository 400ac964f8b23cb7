package rigfile

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// compiled is the schema as a validator of the draft 2020-12 understands it.
func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	text, err := Schema()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("rig.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile("rig.json")
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

// validate is what an editor does with a rig file.
func validate(t *testing.T, schema *jsonschema.Schema, text string) error {
	t.Helper()
	var file any
	if err := toml.Unmarshal([]byte(text), &file); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	asJSON, err := json.Marshal(file)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(asJSON))
	if err != nil {
		t.Fatal(err)
	}
	return schema.Validate(doc)
}

func TestSchemaAcceptsRigs(t *testing.T) {
	schema := compiled(t)
	demo, err := os.ReadFile("../../demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"every key": everyKey, "one lamp": oneLamp, "demo": string(demo), "starter": string(Starter()),
		"on a base": truck, "headlights alone": "[headlights]\n",
	} {
		if err := validate(t, schema, text); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	// Every way to write a length, and zeros without a unit.
	for _, length := range []string{
		`"1 m"`, `"1m"`, `"100 CM"`, `"75 in"`, `"6.25 ft"`, `"6 ft 3 in"`, `"6'3\""`, `"2 1/4 in"`, `"0.002 km"`,
		`" 1 m "`, `".5 m"`, `"1 metre"`, "\"6\u20323\u2033\"", `0`,
	} {
		text := strings.Replace(oneLamp, "lumens", "width = "+length+"\nlumens", 1)
		mustRead(t, text)
		if err := validate(t, schema, text); err != nil {
			t.Errorf("%s: %v", length, err)
		}
	}
}

// The schema finds what it can.
func TestSchemaRefuses(t *testing.T) {
	schema := compiled(t)
	for name, text := range map[string]string{
		"no lamp":           "name = \"x\"",
		"unknown key":       oneLamp + "colour = 3",
		"bare length":       oneLamp + "width = 1.9",
		"wrong unit":        oneLamp + "width = \"5 deg\"",
		"spread":            "[[lamp]]\nat.up = \"2 m\"\nlumens = 9\nspread = 175",
		"spread of three":   "[[lamp]]\nat.up = \"2 m\"\nlumens = 9\nspread = [1, 2, 3]",
		"no place":          "[[lamp]]\nlumens = 9\nspread = 10",
		"no strength":       "[[lamp]]\nat.up = \"2 m\"\nspread = 10",
		"two strengths":     oneLamp + "peak = \"9 cd\"",
		"two beams":         oneLamp + "photometry = \"x.ies\"",
		"field alone":       "[[lamp]]\nat.up = \"2 m\"\nphotometry = \"x.ies\"\nfield = 10",
		"word":              "units = \"cubits\"" + oneLamp,
		"grade and profile": "[ground]\ngrade = \"1 %\"\nprofile = [[\"0 m\", \"0 m\"], [\"9 m\", \"0 m\"]]" + oneLamp,
	} {
		if validate(t, schema, text) == nil {
			t.Errorf("%s: the schema accepts it", name)
		}
		if _, err := Read(strings.NewReader(text), ""); err == nil {
			t.Errorf("%s: Read accepts it", name)
		}
	}
}

// Every example of the description is right, in the file and for the schema.
func TestExamplesAreRight(t *testing.T) {
	keys := append(allKeys(rigSection(new(Rig))), allKeys(lampFlagSection(new(Lamp)))...)
	for _, k := range keys {
		if k.doc == "" || strings.HasSuffix(k.doc, ".") {
			t.Errorf("%s: doc %q is no sentence without a full stop", k.name, k.doc)
		}
		if isHeader.MatchString(k.example) {
			continue
		}
		var r reader
		if r.value(&section{}, k, literal(k.example)); len(r.mistakes) > 0 {
			t.Errorf("%s: %v", k.name, r.mistakes)
		}
	}
}

func TestReference(t *testing.T) {
	page := Reference()
	for _, want := range []string{
		"| `tilt` | angle, ±90° | `\"5 deg\"` | `\"0 deg\"` | beam axis below horizontal; above it is negative |",
		"| `spread` | angle, or [across, up-down], above 0.5° and below 175° | `\"10 deg\"` |  |",
		"| `at.up` | length, 0.05 m to 30 m | `\"2.05 m\"` | must be given | above level ground |",
		"| `output` | share, above 0 up to 1 | `0.7` | `1` | part of the rated flux that leaves the lens |",
		"## `[[vehicle.body]]`",
		"- One of `lumens`, `peak`, `one_lux_at`, or none with `photometry`.",
		"- Not together: `grade`, `profile`.",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the reference does not say %s", want)
		}
	}
	for line := range strings.Lines(page) {
		if strings.HasPrefix(line, "|") && strings.Count(line, "|") != 6 {
			t.Errorf("a row of other than five columns: %s", line)
		}
	}
}
