package pgtest

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"strconv"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/moby/moby/client"
	"github.com/testcontainers/testcontainers-go"
	tclog "github.com/testcontainers/testcontainers-go/log"
	"github.com/testcontainers/testcontainers-go/modules/postgres"
	"github.com/testcontainers/testcontainers-go/wait"
)

const (
	defaultImage = "postgres:15-bookworm"
	ownerLabel   = "potlife.pgtest.pid" // whose containers are ours to end
	password     = "potlife"
)

// startContainer runs the image. It ends its container itself, so the library's
// own reaper, one more image to pull, is switched off unless asked for.
func startContainer(ctx context.Context) (*server, error) {
	if _, set := os.LookupEnv("TESTCONTAINERS_RYUK_DISABLED"); !set {
		os.Setenv("TESTCONTAINERS_RYUK_DISABLED", "true")
	}
	tclog.SetDefault(tclog.NewNoopLogger()) // what goes wrong comes as an error
	provider, err := testcontainers.NewDockerProvider()
	if err != nil {
		return nil, err
	}
	removeAbandoned(ctx, provider.Client())
	if err := provider.Health(ctx); err != nil {
		return nil, fmt.Errorf("no Docker engine answers: %w", err)
	}
	image := os.Getenv("POTLIFE_TEST_PG_IMAGE")
	if image == "" {
		image = defaultImage
	}
	c, err := postgres.Run(ctx, image,
		postgres.WithUsername("potlife"), postgres.WithPassword(password), postgres.WithDatabase("postgres"),
		testcontainers.WithCmdArgs(settings()...), testcontainers.WithTmpfs(memory()),
		testcontainers.WithLabels(map[string]string{ownerLabel: strconv.Itoa(os.Getpid())}),
		// The second time it says so it is the server that stays. The port is
		// tried below, where it is found out which address reaches it.
		testcontainers.WithWaitStrategyAndDeadline(2*time.Minute,
			wait.ForLog("database system is ready to accept connections").WithOccurrence(2)))
	end := func() error { return testcontainers.TerminateContainer(c) }
	if err != nil {
		return nil, errors.Join(err, end())
	}
	u, err := reach(ctx, c)
	if err != nil {
		return nil, errors.Join(err, end())
	}
	return &server{url: u, what: "container of " + image + ", " + fsyncInWords(), close: end}, nil
}

// memory puts the data into memory where it may be forgotten.
func memory() map[string]string {
	if !forgetful() {
		return nil
	}
	return map[string]string{"/var/lib/postgresql/data": "rw"}
}

// reach finds the address on which the published port answers: the one the
// library believes in, or this machine's own, which it passes over when the
// machine looks like a container itself.
func reach(ctx context.Context, c *postgres.PostgresContainer) (*url.URL, error) {
	port, err := c.MappedPort(ctx, "5432/tcp")
	if err != nil {
		return nil, err
	}
	hosts := []string{"127.0.0.1"}
	if h, err := c.Host(ctx); err == nil {
		hosts = append(hosts, h)
	}
	deadline := time.Now().Add(30 * time.Second)
	for {
		var errs []error
		for _, h := range hosts {
			u := &url.URL{Scheme: "postgres", User: url.UserPassword("potlife", password),
				Host: h + ":" + port.Port(), Path: "/postgres", RawQuery: "sslmode=disable&connect_timeout=2"}
			conn, err := pgx.Connect(ctx, u.String())
			if err == nil {
				return u, conn.Close(ctx)
			}
			errs = append(errs, err)
		}
		if time.Now().After(deadline) || ctx.Err() != nil {
			return nil, fmt.Errorf("the container runs and its port does not answer: %w", errors.Join(errs...))
		}
		time.Sleep(100 * time.Millisecond)
	}
}

// removeAbandoned ends the containers of test binaries that were killed before
// they could. What fails here shows again when the new container starts.
func removeAbandoned(ctx context.Context, docker client.APIClient) {
	list, err := docker.ContainerList(ctx, client.ContainerListOptions{
		All: true, Filters: make(client.Filters).Add("label", ownerLabel)})
	if err != nil {
		return
	}
	for _, c := range list.Items {
		pid, err := strconv.Atoi(c.Labels[ownerLabel])
		if err == nil && errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) {
			_, _ = docker.ContainerRemove(ctx, c.ID, client.ContainerRemoveOptions{Force: true, RemoveVolumes: true})
		}
	}
}
