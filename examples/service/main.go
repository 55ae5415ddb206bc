// Service is the library behind HTTP; it reads no file and keeps nothing.
//
//	go run ./examples/service                     # on 127.0.0.1:8080
//	curl --data-binary @job.json 'http://127.0.0.1:8080/v1/report?units=si'
//
// It ends on an interrupt, after the requests in hand. Exit status: 0 ended so, 2 not run.
//
// The answers are calculations. What is built is decided by the code in force, the local
// authority and a licensed practitioner.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/signal"
	"runtime"
	"syscall"
	"time"

	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/visible"
)

var line = command.Line{Name: "service", Args: "[flags]",
	Text:    "The library behind HTTP: a job in; findings, report, drawings and schedules out.",
	Example: "go run ./examples/service -listen 127.0.0.1:8080", Status: "0 ended by an interrupt, 2 not run"}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr, nil))
}

// run serves until the context is done. ready, if not nil, is told where.
func run(ctx context.Context, args []string, out, errs io.Writer, ready func(net.Addr)) int {
	flags := &flag.FlagSet{}
	listen := flags.String("listen", "127.0.0.1:8080", "`address` to listen at")
	l := limits{size: 1 << 20, time: 10 * time.Second, wait: 2 * time.Second, atOnce: 2 * runtime.GOMAXPROCS(0)}
	flags.Int64Var(&l.size, "size", l.size, "greatest job, in `bytes`")
	flags.DurationVar(&l.time, "time", l.time, "longest work on one job")
	flags.IntVar(&l.atOnce, "at-once", l.atOnce, "jobs in hand at once; the next ones wait a little, then are turned away")
	_, status, done := line.Parse(flags, args, out, visible.Writer(errs))
	if done {
		return status
	}
	if l.size < 1 || l.time <= 0 || l.atOnce < 1 {
		return line.Refuse(errs, errors.New("-size, -time and -at-once must be more than nothing"))
	}
	log := slog.New(slog.NewJSONHandler(errs, nil))
	socket, err := net.Listen("tcp", *listen)
	if err != nil {
		return line.Refuse(errs, err)
	}
	server := &http.Server{
		Handler:           newHandler(l, log),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       15 * time.Second,
		WriteTimeout:      l.wait + l.time + 15*time.Second,
		IdleTimeout:       time.Minute,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	fmt.Fprintf(out, "listening at http://%v, until interrupted\n", socket.Addr())
	if ready != nil {
		ready(socket.Addr())
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(socket) }()
	select {
	case err = <-ended:
		return line.Refuse(errs, err)
	case <-ctx.Done():
	}
	// Those in hand are served; after as long as one may take the rest are cut off.
	last, stop := context.WithTimeout(context.Background(), l.wait+l.time)
	defer stop()
	if err := server.Shutdown(last); err != nil {
		log.Warn("cut off", "err", err)
		server.Close()
	}
	log.Info("ended")
	return command.Done
}
