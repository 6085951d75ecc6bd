package codebook

import "testing"

// Reading one book from its files: 1.9 ms on 2 cores; it is done once a run.
func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		if _, err := loadFrom(books, "books", "upc-2021", nil); err != nil {
			b.Fatal(err)
		}
	}
}

// A small amendment over a book that is read already.
func BenchmarkAmend(b *testing.B) {
	book, err := Load("upc-2021")
	if err != nil {
		b.Fatal(err)
	}
	data := []byte("[amendment]\nsection = \"12.4\"\n[numbers]\nvent-rise = 8\n[tables.trap-arm.rows]\n2 = { max = 66 }\n")
	for b.Loop() {
		if _, problems := book.Amend("city.toml", data); len(problems) > 0 {
			b.Fatal(problems)
		}
	}
}
