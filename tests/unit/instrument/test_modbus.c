#include "instrument/modbus.h"

#include "check.h"
#include "invented_link.h"
#include "peer.h"

#include <pthread.h>
#include <termios.h>

static const char *refused(struct link *link, struct message *message)
{
    static struct clock_set set_clock;
    struct clock clock = clock_by_hand(&set_clock);
    void *state = NULL;
    CHECK(modbus_driver.prepare(link, &clock, &state, message) == STATUS_MALFORMED);
    CHECK(state == NULL);
    return message->what;
}

TEST(faults_of_the_rig_file_come_before_anything_is_touched)
{
    struct message message;
    struct link_setting settings[2];
    struct link link = invented_link("modbus", "tcp 127.0.0.1");
    CHECK_TEXT(refused(&link, &message), "[invented meter] delivers no channel");
    invented_channel(&link, "voltage", "input 18 u32 swopped");
    CHECK_TEXT(refused(&link, &message), "'swopped' is not understood in a Modbus source");
    CHECK(message.line == 9 && message.column == 16);
    link.channel_count = 0;
    invented_channel(&link, "voltage", "input 18");
    link.period_s = 0;
    CHECK_TEXT(refused(&link, &message), "[invented meter] speaks when asked only, and has no period");
    link.period_s = 1;
    for (int k = 0; k < 6; k++) {
        static const char *const bad[] = {"256", "-1", "248", "3x", "", "254"};
        link.setting_count = 0;
        invented_setting(&link, settings, "unit id", bad[k]);
        CHECK(strstr(refused(&link, &message), "is no unit id") != NULL);
        CHECK(message.line == 5 && message.column == 11);
    }
    link = invented_link("modbus", "serial /dev/ttyS9 9601 8N1");
    invented_channel(&link, "voltage", "input 18");
    CHECK_TEXT(refused(&link, &message), "'serial /dev/ttyS9 9601 8N1' is no line that Modbus RTU runs on");
    link = invented_link("modbus", "serial /dev/ttyS9 9600 7E1");
    invented_channel(&link, "voltage", "input 18");
    CHECK_TEXT(refused(&link, &message), "'serial /dev/ttyS9 9600 7E1' is no line that Modbus RTU runs on");
}

static void *prepared(const struct link *link, const struct clock *clock)
{
    void *state = NULL;
    struct message message = {0};
    CHECK(modbus_driver.prepare(link, clock, &state, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    return state;
}

static enum heard hear(void *state, struct arrival *arrival, struct message *message)
{
    enum heard heard = HEARD_NOTHING;
    *message = (struct message){0};
    for (int k = 0; k < 100 && heard == HEARD_NOTHING; k++)
        heard = modbus_driver.hear(state, 0.05, arrival, message);
    return heard;
}

static bool has_pymodbus(void)
{
    return peer_tool("python3") != NULL &&
           peer_succeeds((const char *const[]){"python3", "-c", "import pymodbus, serial_asyncio", NULL});
}

/* What peer_modbus.py holds, every type and both orders of words, in one reading. */
static void add_all(struct link *link)
{
    static const char *const sources[] = {
        "input 18 u32 swapped",     "input 20 i32",          "input 22 i16", "input 30 float32",
        "input 32 float32 swapped", "input 40 u64 swapped",  "input 44 i64", "holding 107",
        "holding 109 u16",          "input 60 except 0xFFFF"};
    for (size_t k = 0; k < sizeof sources / sizeof *sources; k++)
        invented_channel(link, "voltage", sources[k]);
    link->own_time = true;
    link->time_source = (struct link_channel){.source = "holding 0 u32"};
}

static void check_all(const struct arrival *arrival)
{
    static const char *const want[] = {"12904",           "-20515",           "-3",  "12.904", "-0.5",
                                       "987654321012345", "-987654321012345", "555", "100",    "missing"};
    for (int k = 0; k < 10; k++)
        CHECK_TEXT(shown(arrival, k), want[k]);
    CHECK(arrival->time.mantissa == 3600250 && arrival->time.kind == DECIMAL_NUMBER);
}

static void check_meter(const char *address)
{
    struct link_setting settings[1];
    struct clock clock = clock_machine();
    struct link link = invented_link("modbus", address);
    struct arrival arrival = {0};
    struct message message;
    char identity[128] = "?";
    add_all(&link);
    invented_setting(&link, settings, "unit id", "3");
    void *state = prepared(&link, &clock);
    int64_t before = clock.now_ns(NULL);
    CHECK(modbus_driver.connect(state, identity, &message) == STATUS_OK);
    CHECK_TEXT(identity, "");
    for (int k = 0; k < 3; k++) {
        CHECK(hear(state, &arrival, &message) == HEARD_READING);
        check_all(&arrival);
        int64_t after = clock.now_ns(NULL);
        CHECK(arrival.at_ns - arrival.within_ns >= before && arrival.at_ns + arrival.within_ns <= after + 1);
        CHECK(arrival.within_ns > 0);
        before = arrival.at_ns;
    }
    modbus_driver.disconnect(state);
    CHECK(modbus_driver.connect(state, identity, &message) == STATUS_OK);
    CHECK(hear(state, &arrival, &message) == HEARD_READING);
    modbus_driver.free(state);
}

TEST(a_tcp_instrument_of_another_make_is_read)
{
    if (!has_pymodbus())
        SKIP("python3-pymodbus or python3-serial-asyncio is not installed");
    struct peer peer =
        peer_start((const char *const[]){"python3", "tests/unit/instrument/peer_modbus.py", "tcp", NULL});
    char port[16] = "", address[64];
    CHECK(peer_line(&peer, port, sizeof port, 20000));
    snprintf(address, sizeof address, "tcp localhost:%s", port);
    check_meter(address);
    peer_stop(&peer);
}

TEST(a_serial_instrument_of_another_make_is_read)
{
    if (!has_pymodbus() || peer_tool("socat") == NULL)
        SKIP("python3-pymodbus, python3-serial-asyncio or socat is not installed");
    char folder[64], ours[64], theirs[64], left[80], right[80], address[96], line[32];
    peer_folder(folder, sizeof folder);
    snprintf(ours, sizeof ours, "%s/ours", folder);
    snprintf(theirs, sizeof theirs, "%s/theirs", folder);
    snprintf(left, sizeof left, "pty,rawer,link=%s", ours);
    snprintf(right, sizeof right, "pty,rawer,link=%s", theirs);
    struct peer wire = peer_start((const char *const[]){"socat", left, right, NULL});
    for (int k = 0; k < 500 && (access(ours, F_OK) != 0 || access(theirs, F_OK) != 0); k++)
        usleep(10000);
    struct peer peer = peer_start(
        (const char *const[]){"python3", "tests/unit/instrument/peer_modbus.py", "serial", theirs, NULL});
    CHECK(peer_line(&peer, line, sizeof line, 20000));
    snprintf(address, sizeof address, "serial %s 19200 8N1", ours);
    check_meter(address);
    peer_stop(&peer);
    kill(wire.pid, SIGTERM); /* so that it takes its links away */
    peer_end(&wire);
    rmdir(folder);
}

/* An instrument on a serial line, played by the test: it expects these bytes and answers those. */
struct scripted {
    int fd;
    size_t ask_size, answer_size;
    uint8_t ask[16], answer[32], got[16];
};

static void *play(void *context)
{
    struct scripted *script = context;
    for (size_t n = 0; n < script->ask_size;) {
        ssize_t more = read(script->fd, script->got + n, script->ask_size - n);
        if (more <= 0)
            return NULL;
        n += (size_t)more;
    }
    if (script->answer_size > 0 && write(script->fd, script->answer, script->answer_size) < 0)
        abort();
    return NULL;
}

static int open_line(char *ret_address, size_t size)
{
    int fd = posix_openpt(O_RDWR | O_NOCTTY);
    struct termios raw;
    if (fd < 0 || grantpt(fd) != 0 || unlockpt(fd) != 0 || tcgetattr(fd, &raw) != 0)
        abort();
    cfmakeraw(&raw);
    tcsetattr(fd, TCSANOW, &raw);
    snprintf(ret_address, size, "serial %s 19200 8N1", ptsname(fd)); /* parity means nothing to a pty */
    return fd;
}

static enum heard exchange(void *state, struct scripted *script, struct arrival *arrival,
                           struct message *message)
{
    pthread_t thread;
    pthread_create(&thread, NULL, play, script);
    enum heard heard = hear(state, arrival, message);
    pthread_join(thread, NULL);
    CHECK(memcmp(script->ask, script->got, script->ask_size) == 0);
    return heard;
}

/* Frames of the MODBUS Application Protocol V1.1b3, 6.3 (read holding registers 108 to 110: 555, 0, 100), and of
 * MODBUS over Serial Line V1.02 with its CRC, low byte first: 74 17, 05 7A; as a maker's manual prints them. */
TEST(frames_and_checks_are_those_of_the_specification)
{
    char address[96], identity[128];
    int fd = open_line(address, sizeof address);
    struct clock clock = clock_machine();
    struct link link = invented_link("modbus", address);
    link.timeout_s = 0.3;
    invented_channel(&link, "voltage", "holding 107");
    invented_channel(&link, "voltage", "holding 108");
    invented_channel(&link, "voltage", "holding 109");
    struct arrival arrival = {0};
    struct message message;
    void *state = prepared(&link, &clock);
    CHECK(modbus_driver.connect(state, identity, &message) == STATUS_OK);
    struct scripted script = {fd,
                              8,
                              11,
                              {0x01, 0x03, 0x00, 0x6B, 0x00, 0x03, 0x74, 0x17},
                              {0x01, 0x03, 0x06, 0x02, 0x2B, 0x00, 0x00, 0x00, 0x64, 0x05, 0x7A},
                              {0}};
    CHECK(exchange(state, &script, &arrival, &message) == HEARD_READING);
    CHECK_TEXT(shown(&arrival, 0), "555");
    CHECK_TEXT(shown(&arrival, 1), "0");
    CHECK_TEXT(shown(&arrival, 2), "100");

    script.answer[4] ^= 1; /* one bit of a value */
    CHECK(exchange(state, &script, &arrival, &message) == HEARD_GARBAGE);
    CHECK(strstr(message.what, "Invalid CRC") != NULL);
    script.answer[4] ^= 1;
    CHECK(exchange(state, &script, &arrival, &message) == HEARD_READING);

    /* Exception 2 of function 3, CRC C0 F1 (computed from the published polynomial). */
    struct scripted refusal = {
        fd, 8, 5, {0x01, 0x03, 0x00, 0x6B, 0x00, 0x03, 0x74, 0x17}, {0x01, 0x83, 0x02, 0xC0, 0xF1}, {0}};
    CHECK(exchange(state, &refusal, &arrival, &message) == HEARD_GARBAGE);
    CHECK_TEXT(message.what, "it refuses holding 107, 3 registers: Illegal data address (exception 2)");
    CHECK(strstr(message.remedy, "`holding 18`") != NULL);

    script.answer_size = 7; /* half a frame, and then nothing */
    CHECK(exchange(state, &script, &arrival, &message) == HEARD_LOST);
    script.answer_size = 0;
    CHECK(exchange(state, &script, &arrival, &message) == HEARD_LOST);
    CHECK(strstr(message.what, "no answer within 0.3 s from unit 1 at serial") != NULL);
    script.answer_size = 11;
    CHECK(modbus_driver.connect(state, identity, &message) == STATUS_OK);
    CHECK(exchange(state, &script, &arrival, &message) == HEARD_READING);
    close(fd); /* unplugged */
    CHECK(hear(state, &arrival, &message) == HEARD_LOST);
    CHECK(modbus_driver.connect(state, identity, &message) == STATUS_UNREADABLE);
    CHECK(hear(state, &arrival, &message) == HEARD_LOST);
    modbus_driver.free(state);
}

/* CRC of MODBUS over Serial Line V1.02, 6.2.2. */
static uint16_t crc_of(const uint8_t *bytes, size_t count)
{
    uint16_t crc = 0xFFFF;
    for (size_t k = 0; k < count; k++) {
        crc ^= bytes[k];
        for (int bit = 0; bit < 8; bit++)
            crc = (uint16_t)(crc >> 1 ^ (crc & 1 ? 0xA001 : 0));
    }
    return crc;
}

/* Two units on one line: each answers slowly with its own id; a request before that answer is a collision. */
struct bus {
    int fd;
    int asked[3], collisions;
};

static void *play_bus(void *context)
{
    struct bus *bus = context;
    uint8_t ask[8];
    struct pollfd more = {.fd = bus->fd, .events = POLLIN};
    for (size_t n = 0; poll(&more, 1, 1500) == 1;) {
        ssize_t got = read(bus->fd, ask + n, sizeof ask - n);
        if (got <= 0)
            break;
        if ((n += (size_t)got) < sizeof ask)
            continue;
        n = 0;
        bus->collisions += poll(&more, 1, 8) != 0;
        uint8_t answer[7] = {ask[0], 4, 2, 0, ask[0], 0, 0};
        uint16_t crc = crc_of(answer, 5);
        answer[5] = (uint8_t)crc, answer[6] = (uint8_t)(crc >> 8);
        bus->asked[ask[0] < 3 ? ask[0] : 0]++;
        if (write(bus->fd, answer, sizeof answer) != sizeof answer)
            break;
    }
    return NULL;
}

struct unit_test {
    struct link link;
    struct link_setting settings[1];
    int readings, others;
};

static void *read_unit_often(void *context)
{
    struct unit_test *unit = context;
    struct clock clock = clock_machine();
    struct arrival arrival;
    struct message message = {0};
    char identity[128];
    void *state = prepared(&unit->link, &clock);
    modbus_driver.connect(state, identity, &message);
    CHECK_TEXT(message.what, "");
    for (int k = 0; k < 8; k++) {
        bool good = hear(state, &arrival, &message) == HEARD_READING &&
                    decimal_value(arrival.cells[0]) == unit->settings[0].value[0] - '0';
        unit->readings += good;
        unit->others += !good;
    }
    modbus_driver.free(state);
    return NULL;
}

TEST(units_on_one_line_take_turns)
{
    CHECK(crc_of((const uint8_t *)"123456789", 9) == 0x4B37); /* the check value of CRC-16/MODBUS */
    char address[96];
    struct bus bus = {.fd = open_line(address, sizeof address)};
    int kept_open = open(ptsname(bus.fd), O_RDWR | O_NOCTTY); /* the line stays when one unit lets go */
    struct unit_test units[2] = {0};
    pthread_t threads[3];
    for (int k = 0; k < 2; k++) {
        units[k].link = invented_link("modbus", address);
        units[k].link.period_s = 0.001;
        invented_channel(&units[k].link, "voltage", "input 7");
        invented_setting(&units[k].link, units[k].settings, "unit id", k == 0 ? "1" : "2");
        pthread_create(&threads[k], NULL, read_unit_often, &units[k]);
    }
    pthread_create(&threads[2], NULL, play_bus, &bus);
    for (int k = 0; k < 2; k++) {
        pthread_join(threads[k], NULL);
        CHECK(units[k].readings == 8 && units[k].others == 0);
    }
    close(kept_open);
    pthread_join(threads[2], NULL);
    CHECK(bus.asked[1] == 8 && bus.asked[2] == 8 && bus.asked[0] == 0 && bus.collisions == 0);
    close(bus.fd);
}

/* A server that goes wrong in one of many ways at every request. */
enum wrong {
    RIGHT,
    EXCEPTION_OF_SECOND,
    SHORT_COUNT,
    CUT,
    CLOSED,
    SILENT,
    GARBAGE,
    OTHER_EXCHANGE,
    OTHER_FUNCTION,
    LONG_COUNT
};
struct faulty {
    int listener;
    _Atomic enum wrong wrong;
};

static size_t answer_of(enum wrong wrong, const uint8_t *ask, uint8_t *answer)
{
    int count = ask[11] <= 125 ? ask[11] : 125; /* the most that one request may ask */
    size_t n = 9 + 2 * (size_t)count;
    memcpy(answer, ask, 8);
    answer[5] = (uint8_t)(n - 6);
    answer[8] = (uint8_t)(2 * count);
    for (int k = 0; k < count; k++)
        answer[9 + 2 * k] = 0x32, answer[10 + 2 * k] = (uint8_t)(0x68 + k);
    switch (wrong) {
    case EXCEPTION_OF_SECOND:
        if (ask[8] == 0)
            return n;
        answer[5] = 3, answer[7] |= 0x80, answer[8] = 4;
        return 9;
    case SHORT_COUNT: answer[5] -= 2, answer[8] -= 2; return n - 2;
    case LONG_COUNT: answer[8] = 250; return n;
    case CUT: return n - 1;
    case SILENT: return 0;
    case GARBAGE: memset(answer, 0x55, n); return n;
    case OTHER_EXCHANGE: answer[1] ^= 0x40; return n;
    case OTHER_FUNCTION: answer[7] = 6; return n;
    default: return n;
    }
}

static void *serve_faulty(void *context)
{
    struct faulty *faulty = context;
    for (int fd; (fd = accept(faulty->listener, NULL, NULL)) >= 0; close(fd)) {
        uint8_t ask[12], answer[300];
        while (recv(fd, ask, sizeof ask, MSG_WAITALL) == (ssize_t)sizeof ask) {
            size_t n = faulty->wrong == CLOSED ? 0 : answer_of(faulty->wrong, ask, answer);
            if (n > 0 && send(fd, answer, n, MSG_NOSIGNAL) < 0)
                break;
            if (faulty->wrong == CUT || faulty->wrong == CLOSED)
                break;
        }
    }
    return NULL;
}

TEST(what_a_server_does_wrong_is_never_a_reading)
{
    static const struct {
        enum wrong wrong;
        enum heard heard;
    } cases[] = {{SHORT_COUNT, HEARD_LOST},    {CUT, HEARD_LOST},           {CLOSED, HEARD_LOST},
                 {SILENT, HEARD_LOST},         {GARBAGE, HEARD_LOST},       {LONG_COUNT, HEARD_LOST},
                 {OTHER_EXCHANGE, HEARD_LOST}, {OTHER_FUNCTION, HEARD_LOST}};
    int port;
    struct faulty faulty = {peer_listen(&port), RIGHT};
    char address[64], identity[128];
    pthread_t thread;
    pthread_create(&thread, NULL, serve_faulty, &faulty);
    snprintf(address, sizeof address, "tcp 127.0.0.1:%d", port);
    struct clock clock = clock_machine();
    struct link link = invented_link("modbus", address);
    link.timeout_s = 0.25;
    invented_channel(&link, "voltage", "input 0");
    invented_channel(&link, "voltage", "input 0x100");
    void *state = prepared(&link, &clock);
    for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
        struct arrival arrival = {.at_ns = -7};
        struct message message;
        faulty.wrong = RIGHT;
        CHECK(modbus_driver.connect(state, identity, &message) == STATUS_OK);
        CHECK(hear(state, &arrival, &message) == HEARD_READING);
        CHECK_TEXT(shown(&arrival, 0), "12904");
        faulty.wrong = cases[k].wrong;
        arrival.at_ns = -7;
        CHECK_NEAR(hear(state, &arrival, &message), cases[k].heard, 0);
        CHECK(arrival.at_ns == -7 && message.what[0] != '\0');
    }
    shutdown(faulty.listener, SHUT_RDWR);
    modbus_driver.free(state);
    pthread_join(thread, NULL);
    close(faulty.listener);
}

TEST(a_refused_request_costs_its_own_channels_only_and_is_told)
{
    int port;
    struct faulty faulty = {peer_listen(&port), EXCEPTION_OF_SECOND};
    char address[64], identity[128];
    pthread_t thread;
    pthread_create(&thread, NULL, serve_faulty, &faulty);
    snprintf(address, sizeof address, "tcp 127.0.0.1:%d", port);
    struct clock clock = clock_machine();
    struct link link = invented_link("modbus", address);
    invented_channel(&link, "voltage", "input 0");
    invented_channel(&link, "voltage", "input 0x100");
    void *state = prepared(&link, &clock);
    struct arrival arrival = {0};
    struct message message;
    CHECK(modbus_driver.connect(state, identity, &message) == STATUS_OK);
    for (int k = 0; k < 2; k++) {
        CHECK(hear(state, &arrival, &message) == HEARD_READING);
        CHECK_TEXT(shown(&arrival, 0), "12904");
        CHECK_TEXT(shown(&arrival, 1), "missing");
        CHECK(hear(state, &arrival, &message) == HEARD_GARBAGE);
        CHECK_TEXT(message.what,
                   "it refuses input 256, 1 register: Slave device or server failure (exception 4)");
    }
    shutdown(faulty.listener, SHUT_RDWR);
    modbus_driver.free(state);
    pthread_join(thread, NULL);
    close(faulty.listener);
}

TEST(polls_keep_to_their_grid_and_what_was_missed_is_left_out)
{
    int port;
    struct faulty faulty = {peer_listen(&port), RIGHT};
    char address[64], identity[128];
    pthread_t thread;
    pthread_create(&thread, NULL, serve_faulty, &faulty);
    snprintf(address, sizeof address, "tcp 127.0.0.1:%d", port);
    struct clock_set hand = {.now_ns = 1000};
    struct clock clock = clock_by_hand(&hand);
    struct link link = invented_link("modbus", address);
    link.period_s = 2;
    invented_channel(&link, "voltage", "input 0");
    void *state = prepared(&link, &clock);
    struct arrival arrival = {0};
    struct message message;
    CHECK(modbus_driver.connect(state, identity, &message) == STATUS_OK);
    CHECK(modbus_driver.hear(state, 0.5, &arrival, &message) == HEARD_READING);
    CHECK(arrival.at_ns == 1000 && arrival.within_ns == 0);
    CHECK(modbus_driver.hear(state, 0.5, &arrival, &message) == HEARD_NOTHING);
    CHECK(hand.now_ns == 500001000);
    CHECK(modbus_driver.hear(state, 1.75, &arrival, &message) == HEARD_READING);
    CHECK(arrival.at_ns == 2000001000);
    hand.now_ns += 5500000000; /* the thread had no turn for a while */
    CHECK(modbus_driver.hear(state, 0.5, &arrival, &message) == HEARD_READING);
    CHECK(modbus_driver.hear(state, 0.5, &arrival, &message) == HEARD_READING);
    CHECK(arrival.at_ns == 8000001000);
    shutdown(faulty.listener, SHUT_RDWR);
    modbus_driver.free(state);
    pthread_join(thread, NULL);
    close(faulty.listener);
}
