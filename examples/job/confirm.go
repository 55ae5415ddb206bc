package job

// Confirmation is a figure of the shelf that a reader found in the code book.
type Confirmation struct {
	Row   string `json:"row" read:"need"`   // set/table: key, as the checklist names it
	Value string `json:"value" read:"need"` // as read
	Where string `json:"where" read:"need"` // document, edition and section
	By    string `json:"by" read:"need"`
	When  string `json:"when" read:"need"`
}
