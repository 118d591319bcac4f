package drive

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
)

// Socket is the client's end of a WebSocket (RFC 6455) with no more than this program needs, so that the load costs little
// beside the server that is measured: no fragments, no compression, and pings are not answered, because none are sent.
type Socket struct {
	net.Conn
	in   *bufio.Reader
	text []byte
}

// Opcodes of RFC 6455, 5.2.
const (
	OpText   = 1
	OpBinary = 2
	opClose  = 8
)

// Dial connects with that path of a server; headers are sent with it.
func Dial(address, path string, headers ...string) (*Socket, error) {
	conn, err := net.Dial("tcp", address)
	if err != nil {
		return nil, err
	}
	// The key and what is made of it are the example of RFC 6455, 1.3.
	fmt.Fprintf(conn, "GET %s HTTP/1.1\r\nHost: %s\r\nConnection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n", path, address)
	for _, header := range headers {
		fmt.Fprintf(conn, "%s\r\n", header)
	}
	fmt.Fprint(conn, "\r\n")
	s := &Socket{Conn: conn, in: bufio.NewReaderSize(conn, 8<<10)}
	answer, err := http.ReadResponse(s.in, nil)
	if err != nil {
		return nil, err
	}
	if answer.StatusCode != http.StatusSwitchingProtocols {
		return nil, fmt.Errorf("the server answers %s", answer.Status)
	}
	return s, nil
}

// Read returns the next message; the text is the caller's until the next one.
func (s *Socket) Read() (op byte, text []byte, err error) {
	head, err := s.in.Peek(2)
	if err != nil {
		return 0, nil, err
	}
	op, length, size := head[0]&0xf, uint64(head[1]), 2
	switch length {
	case 126:
		size = 4
	case 127:
		size = 10
	}
	if head, err = s.in.Peek(size); err != nil {
		return 0, nil, err
	}
	switch size {
	case 4:
		length = uint64(binary.BigEndian.Uint16(head[2:]))
	case 10:
		length = binary.BigEndian.Uint64(head[2:])
	}
	s.in.Discard(size)
	if length <= uint64(s.in.Size()) {
		if text, err = s.in.Peek(int(length)); err == nil {
			s.text = append(s.text[:0], text...)
			s.in.Discard(int(length))
		}
	} else {
		s.text = append(s.text[:0], make([]byte, length)...)
		_, err = io.ReadFull(s.in, s.text)
	}
	if err == nil && op == opClose {
		err = fmt.Errorf("the server closes: %s", strings.ToValidUTF8(string(s.text[min(2, len(s.text)):]), ""))
	}
	return op, s.text, err
}

// Write writes a text. Its mask is zero: that is allowed, and costs nothing.
func (s *Socket) Write(text []byte) error {
	var frame []byte
	if len(text) < 126 {
		frame = append(frame, 0x80|OpText, 0x80|byte(len(text)))
	} else {
		frame = binary.BigEndian.AppendUint16(append(frame, 0x80|OpText, 0x80|126), uint16(len(text)))
	}
	frame = append(frame, 0, 0, 0, 0)
	_, err := s.Conn.Write(append(frame, text...))
	return err
}
