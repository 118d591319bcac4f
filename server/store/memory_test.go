package store_test

import (
	"testing"

	"handrule/server/store"
	"handrule/server/store/storetest"
)

func TestMemory(t *testing.T) { storetest.Run(t, store.InMemory()) }
