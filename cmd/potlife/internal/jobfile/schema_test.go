package jobfile

import (
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"
)

// checker holds values to a JSON Schema, as far as ours goes.
type checker struct {
	defs   map[string]any
	wrongs []string
}

func (c *checker) fail(path, format string, args ...any) {
	c.wrongs = append(c.wrongs, path+": "+fmt.Sprintf(format, args...))
}

// check reports whether v fits the schema; what does not is noted.
func (c *checker) check(path string, schema map[string]any, v any) {
	if ref, ok := schema["$ref"].(string); ok {
		c.check(path, c.defs[strings.TrimPrefix(ref, "#/$defs/")].(map[string]any), v)
	}
	if t, ok := schema["type"]; ok && !fitsType(t, v) {
		c.fail(path, "%T is not of type %v", v, t)
	}
	if enum, ok := schema["enum"].([]any); ok && !slices.Contains(enum, v) {
		c.fail(path, "%v is none of %v", v, enum)
	}
	if any, ok := schema["anyOf"].([]any); ok && !slices.ContainsFunc(any, func(s interface{}) bool { return c.fits(s.(map[string]interface{}), v) }) {
		for _, s := range any {
			c.check(path+"(any)", s.(map[string]interface{}), v)
		}
	}
	if least, ok := schema["minimum"].(float64); ok {
		if f, isNumber := v.(float64); isNumber && f < least {
			c.fail(path, "%v is under %v", f, least)
		}
	}
	if pattern, ok := schema["pattern"].(string); ok {
		if s, isText := v.(string); isText && !regexp.MustCompile(pattern).MatchString(s) {
			c.fail(path, "%q does not match %s", s, pattern)
		}
	}
	switch x := v.(type) {
	case map[string]any:
		c.object(path, schema, x)
	case []any:
		if items, ok := schema["items"].(map[string]any); ok {
			for i, in := range x {
				c.check(fmt.Sprintf("%s[%d]", path, i), items, in)
			}
		}
	}
}

func (c *checker) fits(schema map[string]any, v any) bool {
	inner := &checker{defs: c.defs}
	inner.check("", schema, v)
	return len(inner.wrongs) == 0
}

func (c *checker) object(path string, schema, x map[string]any) {
	props, _ := schema["properties"].(map[string]any)
	for _, key := range sortedKeys(x) {
		if sub, ok := props[key].(map[string]any); ok {
			c.check(path+"."+key, sub, x[key])
		} else if more, ok := schema["additionalProperties"].(map[string]any); ok {
			c.check(path+"."+key, more, x[key])
		} else if schema["additionalProperties"] == false {
			c.fail(path, "the key %q is not in the schema", key)
		}
	}
	must, _ := schema["required"].([]any)
	for _, key := range must {
		if _, ok := x[key.(string)]; !ok {
			c.fail(path, "the key %q is required", key)
		}
	}
}

func fitsType(t, v any) bool {
	if list, ok := t.([]any); ok {
		return slices.ContainsFunc(list, func(one any) bool { return fitsType(one, v) })
	}
	switch x := v.(type) {
	case nil:
		return t == "null"
	case string:
		return t == "string"
	case bool:
		return t == "boolean"
	case float64:
		return t == "number" || t == "integer" && x == float64(int64(x))
	case []any:
		return t == "array"
	}
	return t == "object"
}

// plain turns a value into what a JSON reader would make of it.
func plain(v *value) any {
	switch v.kind {
	case mapping:
		out := map[string]any{}
		for _, p := range v.pairs {
			out[p.key] = plain(p.value)
		}
		return out
	case sequence:
		out := make([]any, len(v.items))
		for i := range v.items {
			out[i] = plain(v.items[i])
		}
		return out
	case nothing:
		return nil
	}
	if f, err := strconv.ParseFloat(v.text, 64); err == nil {
		return f
	}
	if v.text == "true" || v.text == "false" {
		return v.text == "true"
	}
	return v.text
}

func schemaForTest(t *testing.T) map[string]any {
	t.Helper()
	var schema map[string]any
	if err := json.Unmarshal(Schema(), &schema); err != nil {
		t.Fatal(err)
	}
	return schema
}

// The demo files, what is exported of them, and the good file fit the schema.
func TestFilesFitTheSchema(t *testing.T) {
	schema := schemaForTest(t)
	files := map[string][]byte{}
	for _, which := range DemoNames() {
		files["demo "+which] = Demo(which)
		f, problems := Parse("demo", Demo(which))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		files["export of demo "+which], _ = Write(f)
	}
	files["good.yaml"], _ = os.ReadFile("testdata/good.yaml")
	for _, name := range sortedKeys(files) {
		docs, problems := tree(name, files[name])
		if len(docs) != 1 || len(problems) > 0 {
			t.Fatal(name, problems)
		}
		c := &checker{defs: schema["$defs"].(map[string]any)}
		c.check("", schema, plain(docs[0]))
		for _, w := range c.wrongs[:min(len(c.wrongs), 5)] {
			t.Errorf("%s%s", name, w)
		}
	}
}

// The checker and the schema refuse what the reader refuses.
func TestSchemaRefuses(t *testing.T) {
	schema := schemaForTest(t)
	for _, text := range []string{
		"furm: {}", "firm: {key: a}", "jobs: {key: a}", "job: {key: a, name: b, start: 2026-12-07, sites: [{key: s, rooms: [{key: r, order: backwards}]}]}",
		"firm: {key: a, name: b, zone: UTC, currency: euro, crews: []}",
	} {
		docs, _ := tree("x", []byte(text))
		if c := (&checker{defs: schema["$defs"].(map[string]any)}); c.fits(schema, plain(docs[0])) {
			t.Errorf("%s fits", text)
		}
		if _, problems := Parse("x", []byte(text)); len(problems) == 0 {
			t.Errorf("%s is read without a problem", text)
		}
	}
}

// Every key of every table is in the schema, and no other.
func TestSchemaHasEveryKey(t *testing.T) {
	defs := schemaForTest(t)["$defs"].(map[string]any)
	tables := map[string][]string{}
	for _, o := range []interface{ table() (string, []string) }{&fileObject, &firmObject, &patternObject, &memberObject, &limitsObject, &leftOutObject, &ratesObject, &uncertaintyObject, &crewObject, &travelObject, &recipeObject,
		&stepObject, &buyerObject, &supplierObject, &tileObject, &productObject, &sheetObject, &lotObject, &stockObject, &offcutObject, &jobObject, &siteObject, &roomObject, &holdObject,
		&toolObject, &absenceObject, &personObject, &baseObject, &rectObject, &cornerObject, &alcoveObject, &showerObject, &nicheObject, &doorObject, &windowObject, &faceObject, &surfaceObject, &edgeObject, &openingObject, &zoneObject, &borderObject, &bandObject, &insetObject, &temperatureObject, &arcObject, &readingObject, &checkObject, &softJointObject, &fallsObject, &waiverObject, &setObject, &datumObject, &obstacleObject} {
		name, keys := o.table()
		tables[name] = keys
	}
	if len(defs) != len(tables) {
		t.Errorf("the schema defines %v, the tables are %v", sortedKeys(defs), sortedKeys(tables))
	}
	for name, keys := range tables {
		def, _ := defs[name].(map[string]any)
		if any, ok := def["anyOf"].([]any); ok {
			def = any[1].(map[string]interface{})
		}
		props, _ := def["properties"].(map[string]any)
		sort.Strings(keys)
		if got := sortedKeys(props); !slices.Equal(got, keys) {
			t.Errorf("%s: schema %v, table %v", name, got, keys)
		}
	}
}

func (o *object[T]) table() (string, []string) { return o.name, o.keys() }
