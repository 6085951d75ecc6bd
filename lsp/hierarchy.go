package lsp

import (
	"context"

	"go.lsp.dev/protocol"

	"crownweir/lsp/answer"
)

// The call hierarchy shows which way water goes: a point's callers are what
// flows into it, its callees where it flows to.

// stationItem is LSP 3.17, CallHierarchyItem. Data names the point, and the
// document it was asked in.
type stationItem struct {
	Name           string               `json:"name"`
	Kind           protocol.SymbolKind  `json:"kind"`
	Detail         string               `json:"detail,omitempty"`
	URI            protocol.DocumentURI `json:"uri"`
	Range          protocol.Range       `json:"range"`
	SelectionRange protocol.Range       `json:"selectionRange"`
	Data           stationData          `json:"data"`
}

type stationData struct {
	Document string `json:"document"`
	Point    string `json:"point"`
}

func (v view) station(s answer.Station, document string) (stationItem, bool) {
	where, ok := v.location(s.At)
	return stationItem{
		Name: s.Name, Kind: symbolKind(s.Kind), Detail: s.Detail, URI: where.URI, Range: where.Range, SelectionRange: where.Range,
		Data: stationData{document, s.Name},
	}, ok
}

func (s *Server) prepareHierarchy(ctx context.Context, now *snapshot, p *pointParams) ([]stationItem, error) {
	at, err := s.point(ctx, now, p, past)
	if err != nil || at.plan == nil {
		return nil, err
	}
	var found []answer.Station
	at.ask(func(plan *answer.Plan) { found = answer.Stations(plan, at.path, at.offset) })
	list := []stationItem{}
	for _, one := range found {
		if item, ok := at.station(one, p.TextDocument.URI); ok {
			list = append(list, item)
		}
	}
	if len(list) == 0 {
		return nil, nil
	}
	return list, nil
}

type hierarchyParams struct {
	Item stationItem `json:"item"`
}

// flow is LSP 3.17, CallHierarchyIncomingCall or CallHierarchyOutgoingCall.
type flow struct {
	From       *stationItem     `json:"from,omitempty"`
	To         *stationItem     `json:"to,omitempty"`
	FromRanges []protocol.Range `json:"fromRanges"`
}

func (s *Server) upstream(ctx context.Context, now *snapshot, p *hierarchyParams) ([]flow, error) {
	return s.flows(ctx, now, p, answer.Upstream, func(f *flow, item *stationItem) { f.From = item })
}

func (s *Server) downstream(ctx context.Context, now *snapshot, p *hierarchyParams) ([]flow, error) {
	return s.flows(ctx, now, p, answer.Downstream, func(f *flow, item *stationItem) { f.To = item })
}

func (s *Server) flows(ctx context.Context, now *snapshot, p *hierarchyParams, of func(*answer.Plan, string) []answer.Flow, put func(*flow, *stationItem)) ([]flow, error) {
	v, _, err := s.view(ctx, now, p.Item.Data.Document, past)
	if err != nil || v.plan == nil {
		return nil, err
	}
	var found []answer.Flow
	v.ask(func(plan *answer.Plan) { found = of(plan, p.Item.Data.Point) })
	list := []flow{}
	for _, one := range found {
		item, ok := v.station(one.Station, p.Item.Data.Document)
		if !ok {
			continue
		}
		f := flow{FromRanges: []protocol.Range{}}
		put(&f, &item)
		for _, loc := range one.Through {
			// ranges are of the file that the protocol names: the caller's
			caller := p.Item.URI
			if f.From != nil {
				caller = item.URI
			}
			if where, ok := v.location(loc); ok && where.URI == caller {
				f.FromRanges = append(f.FromRanges, where.Range)
			}
		}
		list = append(list, f)
	}
	return list, nil
}
