package lasting

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"handrule/server/store"
)

var errLost = errors.New("the engine was lost in the middle of an answer")

// Codes of JetStream's answers that its client gives no names.
const (
	clusterNotAvailable = 10008
	noPeers             = 10005
	noResources         = 10023
	noStorage           = 10047
	notStored           = 10077
	accountFull         = 10002
)

// told is an error as the seam tells it: that nothing is kept under a key, that another was first, or that the engine is away, with
// the reason in words.
func (s *Store) told(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, jetstream.ErrKeyNotFound): // a deleted one, too
		return store.ErrNone
	case errors.Is(err, jetstream.ErrKeyRevisionMismatch), errors.Is(err, jetstream.ErrKeyExists):
		return store.ErrStale
	case errors.Is(err, jetstream.ErrInvalidKey), errors.Is(err, jetstream.ErrInvalidBucketName), errors.Is(err, nats.ErrBadSubject),
		errors.Is(err, nats.ErrMaxPayload):
		return err // which no waiting mends
	}
	why := s.why(err)
	if s.engine != nil && errors.Is(err, context.DeadlineExceeded) && s.engine.tryRoom() != nil {
		s.engine.fails()
	}
	if s.engine != nil && s.closed.Err() == nil && s.engine.failing().Err() != nil {
		why = fullWords
	}
	return fmt.Errorf("%w: %s", store.ErrAway, why)
}

const fullWords = "the disk has no room left, or cannot be written to"

// noRoom is what an error of the system says of a full disk.
const noRoom = "no space left"

// why says in words why the engine keeps nothing.
func (s *Store) why(err error) string {
	var api *jetstream.APIError
	switch {
	case s.closed.Err() != nil:
		return "it was closed"
	case strings.Contains(err.Error(), noRoom):
		return fullWords
	case errors.As(err, &api):
		switch api.ErrorCode {
		case notStored:
			return fmt.Sprintf("%s (%s)", fullWords, api.Description)
		case noStorage, accountFull:
			return "the engine has used all the room that it may"
		case noPeers:
			return fmt.Sprintf("the cluster has not the %d nodes that copies are kept on", copies)
		case clusterNotAvailable:
			return "the cluster has no leader; more than half of its nodes must run"
		case noResources:
			return "the engine has no resources for it just now"
		}
		return api.Description
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, nats.ErrTimeout):
		return fmt.Sprintf("the engine did not answer within %v; in a cluster more than half of the nodes must run", patience)
	case errors.Is(err, nats.ErrNoResponders), errors.Is(err, jetstream.ErrNoStreamResponse), errors.Is(err, jetstream.ErrJetStreamNotEnabled):
		return "nobody answers for what is kept; in a cluster more than half of the nodes must run"
	case errors.Is(err, nats.ErrConnectionClosed), errors.Is(err, nats.ErrReconnectBufExceeded), errors.Is(err, nats.ErrConnectionReconnecting):
		return "there is no connection with the engine"
	}
	return err.Error()
}
