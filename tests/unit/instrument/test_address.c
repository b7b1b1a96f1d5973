#include "instrument/address.h"

#include "check.h"

enum { EVERY = 31, WIRES = 1 << ADDRESS_TCP | 1 << ADDRESS_SERIAL };

static struct address read_one(const char *text, unsigned kinds, int port, struct message *message)
{
    struct link link = {.name = "invented meter", .file = "hut.rig", .line = 4};
    struct address address = {.port = -1};
    span_copy(span_of(text), link.address, sizeof link.address);
    *message = (struct message){0};
    if (address_read(&link, kinds, port, &address, message) != STATUS_OK)
        CHECK(address.port == -1 && message->line == 4 && message->status == STATUS_MALFORMED);
    return address;
}

TEST(hosts_with_and_without_a_port)
{
    struct message message;
    struct address a = read_one("tcp bench.hut:502", EVERY, 0, &message);
    CHECK(a.kind == ADDRESS_TCP && a.port == 502);
    CHECK_TEXT(a.where, "bench.hut");
    a = read_one("  TCP\t10.0.0.7 ", EVERY, 1883, &message);
    CHECK(a.port == 1883);
    CHECK_TEXT(a.where, "10.0.0.7");
    a = read_one("tcp [fe80::1]:5025", EVERY, 0, &message);
    CHECK(a.port == 5025);
    CHECK_TEXT(a.where, "fe80::1");
    CHECK_TEXT(read_one("tcp [::1]", EVERY, 502, &message).where, "::1");
}

TEST(serial_lines_devices_and_paths)
{
    struct message message;
    struct address a = read_one("serial /dev/ttyUSB0 19200 7e2", EVERY, 0, &message);
    CHECK(a.kind == ADDRESS_SERIAL && a.baud == 19200 && a.data_bits == 7 && a.parity == 'E' &&
          a.stop_bits == 2);
    CHECK_TEXT(a.where, "/dev/ttyUSB0");
    a = read_one("serial /dev/ttyS1", EVERY, 0, &message);
    CHECK(a.baud == 9600 && a.data_bits == 8 && a.parity == 'N' && a.stop_bits == 1);
    a = read_one("usbtmc /dev/usbtmc0", EVERY, 0, &message);
    CHECK(a.kind == ADDRESS_USBTMC);
    CHECK_TEXT(a.where, "/dev/usbtmc0");
    CHECK(read_one("stdin", EVERY, 0, &message).kind == ADDRESS_STDIN);
    a = read_one("logs/of the day.csv", EVERY, 0, &message);
    CHECK(a.kind == ADDRESS_PATH);
    CHECK_TEXT(a.where, "logs/of the day.csv");
}

TEST(what_is_no_address_is_refused_and_says_what_would_be)
{
    static const struct {
        const char *text, *what;
    } bad[] = {
        {"", "the address '' of [invented meter] is empty"},
        {"usbtmc /dev/usbtmc0",
         "the address 'usbtmc /dev/usbtmc0' of [invented meter] is none that this driver can use"},
        {"bench.hut:502", "the address 'bench.hut:502' of [invented meter] is none that this driver can use"},
        {"tcp bench.hut", "the address 'tcp bench.hut' of [invented meter] names no port"},
        {"tcp :502", "the address 'tcp :502' of [invented meter] names no host"},
        {"tcp h:0", "the address 'tcp h:0' of [invented meter] has no port from 1 to 65535"},
        {"tcp h:65536", "the address 'tcp h:65536' of [invented meter] has no port from 1 to 65535"},
        {"tcp h:", "the address 'tcp h:' of [invented meter] has no port from 1 to 65535"},
        {"tcp [::1", "the address 'tcp [::1' of [invented meter] opens a bracket and does not close it"},
        {"tcp h:5 6", "the address 'tcp h:5 6' of [invented meter] has something after host and port"},
        {"serial", "the address 'serial' of [invented meter] names no device"},
        {"serial /dev/t 8N1",
         "the address 'serial /dev/t 8N1' of [invented meter] has no rate from 50 to 4000000 baud"},
        {"serial /dev/t 9600 8X1",
         "the address 'serial /dev/t 9600 8X1' of [invented meter] has no frame such as 8N1, 7E1 or 8N2"},
        {"serial /dev/t 99999999999999999999",
         "the address 'serial /dev/t 99999999999999999999' of [invented meter] "
         "has no rate from 50 to 4000000 baud"},
    };
    for (size_t k = 0; k < sizeof bad / sizeof *bad; k++) {
        struct message message;
        read_one(bad[k].text, WIRES, 0, &message);
        CHECK_TEXT(message.what, bad[k].what);
        CHECK_TEXT(message.remedy, "write `address = tcp HOST:PORT` or `address = serial DEVICE 9600 8N1`");
    }
}
