package jobfile

import "testing"

func BenchmarkParseDemo(b *testing.B) {
	text := Demo("")
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, problems := Parse("demo", text); len(problems) > 0 {
			b.Fatal(problems)
		}
	}
}

func BenchmarkWriteAndReadBack(b *testing.B) {
	f, problems := Parse("demo", Demo(""))
	if len(problems) > 0 {
		b.Fatal(problems)
	}
	for b.Loop() {
		text, err := Write(f)
		if err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(len(text)))
		if _, problems := Parse("export", text); len(problems) > 0 {
			b.Fatal(problems)
		}
	}
}
