package rule

func stackRules() []Rule { return nil }
