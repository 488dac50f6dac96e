package page

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// TestTLS: with a certificate the pages come by TLS, and tell browsers to come back that way.
func TestTLS(t *testing.T) {
	cert, key, pool := newCertificate(t)
	s, err := New(Config{Book: newBook(t, true), Who: "Ada", Hosts: []string{"localhost"}, Secure: true})
	must(t, err)
	at, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	ctx, stop := newStop(t)
	served := make(chan error, 1)
	go func() { served <- s.Serve(ctx, at, cert, key) }()
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}}
	defer client.CloseIdleConnections()
	r, err := client.Get("https://" + at.Addr().String() + "/")
	must(t, err)
	r.Body.Close()
	if r.StatusCode != 200 || r.Header.Get("Strict-Transport-Security") == "" {
		t.Errorf("status %d, headers %v", r.StatusCode, r.Header)
	}
	if r, err := http.Get("http://" + at.Addr().String() + "/"); err == nil {
		r.Body.Close()
		if r.StatusCode == 200 {
			t.Error("the pages come without TLS too")
		}
	}
	stop()
	must(t, <-served)
}

// newCertificate writes a certificate for this computer and its key into files, and gives a pool that trusts it.
func newCertificate(t testing.TB) (cert, key string, pool *x509.CertPool) {
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	must(t, err)
	form := &x509.Certificate{SerialNumber: big.NewInt(1), NotAfter: time.Now().Add(time.Hour), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true}
	der, err := x509.CreateCertificate(rand.Reader, form, form, &private.PublicKey, private)
	must(t, err)
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	must(t, err)
	dir := t.TempDir()
	cert, key = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	must(t, os.WriteFile(cert, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600))
	must(t, os.WriteFile(key, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}), 0o600))
	parsed, err := x509.ParseCertificate(der)
	must(t, err)
	pool = x509.NewCertPool()
	pool.AddCert(parsed)
	return cert, key, pool
}
