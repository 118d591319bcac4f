package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"handrule/server"
	"handrule/server/store"
	"handrule/server/store/lasting"
)

// keepFlags say where what must last is kept: where arms stand, classes, and the tries of assessments.
type keepFlags struct {
	Data   string `placeholder:"FOLDER" help:"Folder that keeps what must last: where arms stand, classes, tries of assessments. One beside this user's settings, unless told otherwise; none keeps it in memory until the end."`
	Nats   string `name:"nats" placeholder:"URL" env:"HANDRULE_NATS" help:"Keep it in a NATS cluster with JetStream instead, such as nats://one:4222,nats://two:4222, which any number of handrule processes share."`
	Forget string `default:"30d" placeholder:"TIME" help:"How long an arm is kept where it stands when nobody comes back: 30d, unless told otherwise, or hours as in 12h."`
}

const (
	// mostBenchBytes is what the arms of some hundred thousand learners take. Beyond it those give way that were left for longest.
	mostBenchBytes = 1 << 30
	// mostLedgerBytes is what tens of thousands of assessments take.
	mostLedgerBytes = 64 << 20
	// keepLedger is longer than a school year.
	keepLedger = 400 * 24 * time.Hour
)

// open opens the store, nil for memory, and says where it is.
func (k keepFlags) open(ctx context.Context, log *slog.Logger) (kept store.Store, where string, err error) {
	forget, err := age(k.Forget)
	if err != nil {
		return nil, "", fmt.Errorf("--forget: %w", err)
	}
	opts := lasting.Options{Log: log, Terms: map[string]lasting.Terms{
		server.BenchBucket:  {Forget: forget, Most: mostBenchBytes},
		server.LedgerBucket: {Forget: keepLedger, Most: mostLedgerBytes},
	}}
	switch {
	case k.Nats != "" && k.Data != "":
		return nil, "", errors.New("--data and --nats exclude each other: what must last is kept in one place")
	case k.Data == "none":
		return nil, "", nil
	case k.Nats != "":
		opts.URL, where = k.Nats, "in the cluster that --nats names"
	default:
		if opts.Folder = k.Data; opts.Folder == "" {
			dir, err := os.UserConfigDir()
			if err != nil {
				return nil, "", fmt.Errorf("there is no folder for settings, beside which data would be kept: %w; give --data FOLDER, or --data none", err)
			}
			opts.Folder = filepath.Join(dir, "handrule", "data")
		}
		where = "in " + opts.Folder
	}
	s, err := lasting.Open(ctx, opts)
	var used *lasting.InUse
	switch {
	case errors.As(err, &used):
		return nil, "", fmt.Errorf("%w with --data, or --data none", err)
	case err != nil:
		return nil, "", err
	}
	return s, where, nil
}

// age reads a time of at least an hour, in days or as Go writes it.
func age(text string) (time.Duration, error) {
	var d time.Duration
	days, whole := strings.CutSuffix(text, "d")
	n, err := strconv.Atoi(days)
	if whole {
		d = time.Duration(n) * 24 * time.Hour
	} else {
		d, err = time.ParseDuration(text)
	}
	if err != nil || d < time.Hour || n > mostDays || d > mostDays*24*time.Hour {
		return 0, fmt.Errorf("%q is no time from 1h to %dd, such as 30d", text, mostDays)
	}
	return d, nil
}
