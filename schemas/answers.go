package schemas

import (
	"bytes"
	"strconv"

	"go.yaml.in/yaml/v3"

	"tallywire/model"
)

// answersForm is the file of accepted answers by its tags.
type answersForm struct {
	Answers []answerForm `json:"answers" yaml:"answers"`
}

type answerForm struct {
	Key   string `json:"key" yaml:"key"`
	Field string `json:"field" yaml:"field"`
	Value word   `json:"value" yaml:"value"`
	From  string `json:"from" yaml:"from"`
}

// ReadAnswers reads the file of accepted answers. The error is Faults where
// the file is at fault.
func ReadAnswers(file string, data []byte) ([]model.Answer, error) {
	var form answersForm
	d, err := Read("answers", file, data, &form)
	if err != nil {
		return nil, err
	}
	out := make([]model.Answer, len(form.Answers))
	for i, a := range form.Answers {
		w := d.Where("answers", strconv.Itoa(i))
		out[i] = model.Answer{Key: a.Key, Field: a.Field, Value: string(a.Value), From: a.From, Where: &w}
	}
	return out, nil
}

// WriteAnswers writes the file that ReadAnswers reads, in the order given.
func WriteAnswers(list []model.Answer) ([]byte, error) {
	form := answersForm{Answers: make([]answerForm, len(list))}
	for i, a := range list {
		form.Answers[i] = answerForm{a.Key, a.Field, word(a.Value), a.From}
	}
	var b bytes.Buffer
	b.WriteString("# Values that came back and were accepted; they win over what the plan would put there.\n# Written by merge; entries may be changed or taken out by hand.\n")
	enc := yaml.NewEncoder(&b)
	enc.SetIndent(2)
	if err := enc.Encode(form); err != nil {
		return nil, err
	}
	return b.Bytes(), enc.Close()
}
