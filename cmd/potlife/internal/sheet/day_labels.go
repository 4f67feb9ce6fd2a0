package sheet

import (
	"slices"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

// Label is what is written on the back of a cut piece: its surface, course and
// position, an arrow that points up as it is laid, and which of its edges are cut.
type Label struct {
	Piece string   `json:"piece"`
	Name  string   `json:"name"` // as on the drawing
	Text  string   `json:"text"`
	Cut   []string `json:"cut"` // edges: left, bottom, right, top; shape for notches, holes and free lines
}

// labels lists the label of each piece of the cut list once, in its order.
func (d *Day) labels() {
	done := map[string]bool{}
	for _, g := range d.sheet.Cuts {
		for _, id := range g.Pieces {
			if p := d.x.Pieces[id]; p != nil && !done[id] {
				done[id] = true
				l := Label{Piece: id, Name: d.pieceName(id), Cut: edgesCut(p)}
				l.Text = d.surfaceText(d.x.PieceAt[id]) + " " + p.Label + " ↑ cut " + strings.ReplaceAll(strings.Join(l.Cut, ", "), "shape", "to a shape")
				d.Labels = append(d.Labels, l)
			}
		}
	}
}

// edgesCut are the edges of a piece that are cut, each once.
func edgesCut(p *plandoc.Piece) []string {
	list := []string{}
	for _, c := range p.Cuts {
		side := c.Side
		if words := strings.Fields(c.Shape); len(words) > 2 && words[0] == "trim" && sideKnown(words[2]) {
			side = words[2] // "trim the left edge first"
		}
		if !slices.Contains(list, side) {
			list = append(list, side)
		}
	}
	return list
}

// edgesOf says of each piece of a group which edge that cut makes: of two cuts of one
// size the first stands for the first time the piece is listed. "" is a shape.
func (d *Day) edgesOf(g *plandoc.CutGroup) []string {
	out, seen := make([]string, len(g.Pieces)), map[string]int{}
	for i, id := range g.Pieces {
		p := d.x.Pieces[id]
		if p == nil || g.Size == nil {
			continue
		}
		n := seen[id]
		seen[id]++
		for _, c := range p.Cuts {
			if c.Size == nil || c.Tool != g.Tool || *c.Size != *g.Size || !sideKnown(c.Side) {
				continue
			}
			if n == 0 {
				out[i] = c.Side
				break
			}
			n--
		}
	}
	return out
}

// edgeNames are pieces, drawn together, of which one edge is cut, "" for shapes.
type edgeNames struct{ edge, names string }

// byEdge draws the names of a group together under the edge that is cut.
func (d *Day) byEdge(g *plandoc.CutGroup) []edgeNames {
	var out []edgeNames
	ids := map[string][]string{}
	for i, e := range d.edgesOf(g) {
		if ids[e] == nil {
			out = append(out, edgeNames{edge: e})
		}
		ids[e] = append(ids[e], g.Pieces[i])
	}
	for i := range out {
		out[i].names = d.cutNames(ids[out[i].edge])
	}
	return out
}

// namesText writes them in one line, the edges as edge writes them.
func namesText(list []edgeNames, edge func(string) string) string {
	var parts []string
	for _, e := range list {
		parts = append(parts, joinNonEmpty("\u00a0", edge(e.edge), e.names))
	}
	return strings.Join(parts, "; ")
}

// edgeLetter is an edge as it stands on paper, where there is little room.
func edgeLetter(edge string) string {
	if edge == "" {
		return ""
	}
	return strings.ToUpper(edge[:1])
}
