package rule

func terminals() []Rule { return nil }
