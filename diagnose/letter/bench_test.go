package letter

import "testing"

func BenchmarkReply(b *testing.B) {
	r, o := invented(), onDay()
	for b.Loop() {
		d := Reply(r, o)
		_ = d.Text(72)
	}
}
