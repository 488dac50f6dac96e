package plan

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"longpoint/model"
)

func TestShare(t *testing.T) {
	for _, tt := range []struct {
		name    string
		amount  model.Money
		weights []model.Length
		want    []model.Money
	}{
		{"even", 100, []model.Length{1, 1}, []model.Money{50, 50}},
		{"a unit over goes to the first of equals", 100, []model.Length{1, 1, 1}, []model.Money{34, 33, 33}},
		{"units over go to the largest remainders", 10, []model.Length{1, 2, 4}, []model.Money{1, 3, 6}}, // 1.43 2.86 5.71
		{"nothing to share", 0, []model.Length{3, 4}, []model.Money{0, 0}},
		{"nobody", 5, nil, []model.Money{}},
		{"more is given back than paid", -10, []model.Length{1, 2, 4}, []model.Money{-1, -3, -6}},
		{"past 64 bits", 1 << 40, []model.Length{1 << 60, 1 << 60}, []model.Money{1 << 39, 1 << 39}},
	} {
		if got := Share(tt.amount, tt.weights); !slices.Equal(got, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

func TestSharesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amount := model.Money(rapid.Int64Range(-1<<45, 1<<45).Draw(t, "amount"))
		var weights []model.Length
		for _, w := range rapid.SliceOfN(rapid.Int64Range(0, 1<<50), 1, 20).Draw(t, "weights") {
			weights = append(weights, model.Length(w))
		}
		weights[0]++ // so that somebody pays
		var sum model.Money
		parts := Share(amount, weights)
		for i, part := range parts {
			sum += part
			if weights[i] == 0 && part != 0 {
				t.Errorf("part %d pays %d for nothing", i, part)
			}
			for j := range parts {
				if weights[i] < weights[j] && max(part, -part) > max(parts[j], -parts[j]) {
					t.Errorf("part %d pays %d for %d and part %d pays %d for %d", i, part, weights[i], j, parts[j], weights[j])
				}
			}
		}
		if sum != amount {
			t.Errorf("the parts of %d add up to %d", amount, sum)
		}
	})
}
