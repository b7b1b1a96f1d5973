#include "check.h"
#include "driven.h"

#include "instrument/runner.h"
#include "instrument/serve.h"

#include <stdatomic.h>
#include <termios.h>

static atomic_bool dark;
static atomic_int rows;

/* A meter whose tally starts again with its own time after 100 rows: it rebooted. */
static bool row_now(void *context, struct serve_row *ret_row)
{
    int n = rows++ % 100;
    *ret_row = (struct serve_row){
        .time_s = n * 0.25, .cells = {decimal_of(13.271, 3), decimal_of(-3.05, 2), decimal_of(n * 0.01, 2)}};
    return !dark;
}

static const struct serve_view view = {
    .identity = "Invented,Bench meter,0007,1.0",
    .channels = {CHANNEL_VOLTAGE, CHANNEL_CURRENT, CHANNEL_CHARGE_TALLY},
    .channel_count = 3,
    .row = row_now,
};

static struct server *server;
static int port;
static struct driven d;
static struct message message;

static void serve_it(void)
{
    dark = false;
    rows = 0;
    CHECK(serve_scpi(&view, 0, &server, &port, &message) == STATUS_OK);
}

TEST(a_query_a_channel)
{
    serve_it();
    CHECK(driven_prepare(
              &d, 10,
              "driver = scpi\naddress = tcp 127.0.0.1:%d\ntimeout = 20 s\nsetup = *RST\nsetup = *ESE 32\n"
              "voltage from = MEAS:VOLT?\ncurrent from = meas:curr? reversed\n",
              port) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_OK);
    CHECK_TEXT(d.identity, "Invented,Bench meter,0007,1.0");
    int64_t last_ns = 0;
    for (int k = 0; k < 3; k++) {
        CHECK(driven_hear(&d, 60) == HEARD_READING);
        CHECK_TEXT(driven_cells(&d), "13.271 -3.05");
        CHECK(d.arrival.time.kind == DECIMAL_MISSING && d.arrival.within_ns >= 0);
        CHECK(d.arrival.at_ns - last_ns > 500000000); /* about a second; a busy machine may skip some */
        last_ns = d.arrival.at_ns;
    }
    driven_end(&d);
    server_stop(server);
}

TEST(one_query_for_several_with_its_own_time_through_a_reboot)
{
    serve_it();
    rows = 97 - 3; /* *CLS, *IDN? and the first error query take a row each */
    CHECK(
        driven_prepare(
            &d, 100,
            "driver = scpi\naddress = tcp 127.0.0.1:%d\ntimeout = 100 s\nperiod = 0 s\nquery = FETC?\nsetup = *WAI\n"
            "charge tally from = field 4\nvoltage from = FETC? field 2\ntime from = field 1\n",
            port) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_OK);
    static const char *const cells[] = {"0.98 13.271", "0.99 13.271", "0.00 13.271", "0.01 13.271"};
    static const double times_s[] = {24.5, 24.75, 0, 0.25};
    for (int k = 0; k < 4; k++) {
        CHECK(driven_hear(&d, 60) == HEARD_READING);
        CHECK_TEXT(driven_cells(&d), cells[k]); /* what the meter says, its restart as it is */
        CHECK_NEAR(decimal_value(d.arrival.time), times_s[k], 1e-12);
    }
    CHECK(rows == 102); /* one query a poll */
    driven_end(&d);
    server_stop(server);
}

TEST(a_refused_setup_is_told_with_the_instruments_words)
{
    serve_it();
    CHECK(
        driven_prepare(
            &d, 100,
            "driver = scpi\naddress = tcp 127.0.0.1:%d\ntimeout = 100 s\nsetup = *RST\nsetup = CONF:VOLT:DC 100\n"
            "voltage from = MEAS:VOLT?\n",
            port) == STATUS_OK);
    CHECK(driven_connect(&d) != STATUS_OK);
    CHECK_TEXT(d.message.what, "`CONF:VOLT:DC 100` was refused: -113,\"Undefined header\"");
    CHECK(d.message.line == 6);
    driven_end(&d);
    server_stop(server);
}

TEST(a_query_that_it_does_not_know_is_garbage_with_its_error)
{
    serve_it();
    CHECK(driven_prepare(&d, 10,
                         "driver = scpi\naddress = tcp 127.0.0.1:%d\nvoltage from = MEAS:VOLT?\n"
                         "temperature from = MEAS:OVEN?\n",
                         port) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_OK);
    for (int k = 0; k < 2; k++) {
        CHECK(driven_hear(&d, 60) == HEARD_GARBAGE);
        CHECK_TEXT(d.message.what,
                   "no answer to `MEAS:OVEN?` in 2 s; the instrument says -113,\"Undefined header\"");
    }
    driven_end(&d);
    server_stop(server);
}

TEST(a_meter_that_goes_dark_is_lost_and_comes_back)
{
    serve_it();
    CHECK(driven_prepare(&d, 10, "driver = scpi\naddress = tcp 127.0.0.1:%d\nvoltage from = MEAS:VOLT?\n",
                         port) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_OK);
    CHECK(driven_hear(&d, 60) == HEARD_READING);
    dark = true;
    CHECK(driven_hear(&d, 9) == HEARD_LOST);
    CHECK_TEXT(d.message.what, "no answer to `MEAS:VOLT?` in 2 s");
    d.driver->disconnect(d.state);
    CHECK(driven_connect(&d) != STATUS_OK);
    CHECK_TEXT(d.message.what, "no answer to `*IDN?` in 2 s");
    dark = false;
    CHECK(driven_connect(&d) == STATUS_OK);
    CHECK(driven_hear(&d, 60) == HEARD_READING);
    CHECK_TEXT(driven_cells(&d), "13.271");
    driven_end(&d);
    server_stop(server);
}

/* A meter that says, in turn: garbage, half a line and the rest a moment later, an overload, no value at all, a
 * number in another unit, and hangs up in the middle of an answer. */
static void play_faults(int fd, int nth)
{
    static const char *const answers[] = {"#&^%\x01\n", "13.",        "+9.9E37\n",
                                          "9.91E37\n",  "13271 mV\n", "13.2"};
    char line[64];
    int at = 0;
    while (at < 6 && listen_to(fd, line, sizeof line)) {
        if (strcmp(line, "V?") == 0) {
            say(fd, answers[at]);
            if (at == 1) {
                usleep(5000);
                say(fd, "271\r\n");
            }
            at++;
        } else if (strcmp(line, "ERR?") == 0) {
            say(fd, at == 1 ? "-230,\"Data corrupt or stale\"\n" : "0,\"No error\"\n");
        }
        if (strcmp(line, "ERR?") == 0 && at == 1 && listen_to(fd, line, sizeof line))
            say(fd, "0,\"No error\"\n");
    }
}

TEST(faults_of_an_instrument)
{
    struct far_side far;
    far_side_start(&far, play_faults, 1);
    CHECK(driven_prepare(
              &d, 20,
              "driver = scpi\naddress = tcp 127.0.0.1:%d\nidentify = no\nerrors = ERR?\nperiod = 0 s\n"
              "timeout = 20 s\n"
              "voltage from = V?\n",
              far.port) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_OK);
    CHECK_TEXT(d.identity, "");
    CHECK(driven_hear(&d, 60) == HEARD_GARBAGE);
    CHECK_TEXT(d.message.what,
               "no reading from `V?`: `#&^%\\x01`: `#&^%\\x01` is no number; the instrument says "
               "-230,\"Data corrupt or stale\"");
    CHECK(driven_hear(&d, 60) == HEARD_READING);
    CHECK_TEXT(driven_cells(&d), "13.271");
    CHECK(driven_hear(&d, 60) == HEARD_READING);
    CHECK_TEXT(driven_cells(&d), "OL");
    CHECK(driven_hear(&d, 60) == HEARD_GARBAGE);
    CHECK_TEXT(d.message.what, "the instrument has no value for any channel");
    CHECK(driven_hear(&d, 60) == HEARD_GARBAGE);
    CHECK(strstr(d.message.what, "is no number in V") != NULL);
    enum heard last = driven_hear(&d, 60);
    if (last == HEARD_GARBAGE) { /* the half, before the loss */
        CHECK_TEXT(d.message.what, "an answer without an end");
        last = driven_hear(&d, 60);
    }
    CHECK(last == HEARD_LOST);
    far_side_end(&far);
    driven_end(&d);
}

/* A serial meter: the first answer comes when its asker has given up. */
static void *play_serial(void *argument)
{
    int fd = *(int *)argument;
    char line[64];
    for (int k = 0; listen_to(fd, line, sizeof line); k++) {
        if (strcmp(line, "*IDN?") == 0)
            say(fd, "Invented,Slow meter\r\n");
        if (strcmp(line, "V?") == 0) {
            if (k < 2)
                usleep(300000); /* 3 s of its clock, and the timeout is 2 s */
            say(fd, k < 2 ? "11.111\r\n" : "13.271\r\n");
        }
    }
    return NULL;
}

TEST(a_late_answer_is_not_taken_for_the_next_over_a_serial_line)
{
    int fd = posix_openpt(O_RDWR | O_NOCTTY);
    CHECK(fd >= 0 && grantpt(fd) == 0 && unlockpt(fd) == 0);
    CHECK(driven_prepare(&d, 10,
                         "driver = scpi\naddress = serial %s 115200\nerrors = no\nvoltage from = V?\n",
                         ptsname(fd)) == STATUS_OK);
    pthread_t meter;
    CHECK(pthread_create(&meter, NULL, play_serial, &fd) == 0);
    CHECK(driven_connect(&d) == STATUS_OK);
    CHECK_TEXT(d.identity, "Invented,Slow meter");
    CHECK(driven_hear(&d, 5) == HEARD_LOST);
    d.driver->disconnect(d.state);
    CHECK(driven_connect(&d) == STATUS_OK);
    CHECK_TEXT(d.identity, "Invented,Slow meter"); /* and not `11.111` */
    CHECK(driven_hear(&d, 60) == HEARD_READING);
    CHECK_TEXT(driven_cells(&d), "13.271");
    driven_end(&d);
    pthread_cancel(meter);
    pthread_join(meter, NULL);
    close(fd);
}

/* A device file that carries bytes as the kernel's USBTMC driver does, but for its timeouts: no test without the
 * hardware has that. */
TEST(a_device_file)
{
    int fd = posix_openpt(O_RDWR | O_NOCTTY);
    CHECK(fd >= 0 && grantpt(fd) == 0 && unlockpt(fd) == 0);
    int device = open(ptsname(fd), O_RDWR | O_NOCTTY);
    struct termios raw;
    CHECK(tcgetattr(device, &raw) == 0);
    cfmakeraw(&raw);
    CHECK(tcsetattr(device, TCSANOW, &raw) == 0);
    CHECK(driven_prepare(&d, 1,
                         "driver = scpi\naddress = usbtmc %s\nidentify = no\nerrors = no\nperiod = 0 s\n"
                         "end = crlf\nsetup = CONF:VOLT\nquery = READ?\nvoltage from = field 1\n",
                         ptsname(fd)) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_OK);
    say(fd, "13.271,-3.05\n");
    CHECK(driven_hear(&d, 60) == HEARD_READING);
    CHECK_TEXT(driven_cells(&d), "13.271");
    char line[64];
    CHECK(listen_to(fd, line, sizeof line));
    CHECK_TEXT(line, "CONF:VOLT\r");
    CHECK(listen_to(fd, line, sizeof line));
    CHECK_TEXT(line, "READ?\r");
    close(device);
    close(fd); /* unplugged */
    CHECK(driven_hear(&d, 60) == HEARD_LOST);
    driven_end(&d);
    CHECK(driven_prepare(&d, 1, "driver = scpi\naddress = usbtmc /dev/usbtmc99\nvoltage from = V?\n") ==
          STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_UNREADABLE);
    CHECK(strstr(d.message.what, "/dev/usbtmc99") != NULL && strstr(d.message.remedy, "plugged in") != NULL);
    driven_end(&d);
}

TEST(rig_files_that_cannot_work_are_refused)
{
    static const struct {
        const char *lines;
        long line;
        const char *what;
    } refused[] = {
        {"voltage from = MEAS:VOLT\n", 4, "no question mark"},
        {"voltage from = field 2\n", 4, "no `query = …`"},
        {"voltage from = field 2\nquery = READ\n", 5, "no query"},
        {"voltage from = V?\nend = nul\n", 5, "ends no command"},
        {"period = 1 s\n", 2, "says not what to ask for"},
    };
    for (size_t k = 0; k < sizeof refused / sizeof *refused; k++) {
        CHECK(driven_prepare(&d, 1, "driver = scpi\naddress = tcp 127.0.0.1:1\n%s", refused[k].lines) ==
              STATUS_MALFORMED);
        CHECK(d.message.line == refused[k].line && d.state == NULL);
        if (strstr(d.message.what, refused[k].what) == NULL)
            CHECK_TEXT(d.message.what, refused[k].what);
        driven_end(&d);
    }
}

TEST(a_closed_port_says_so)
{
    CHECK(driven_prepare(&d, 1, "driver = scpi\naddress = tcp 127.0.0.1:%d\nvoltage from = V?\n",
                         peer_free_port()) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_UNREADABLE);
    CHECK(strstr(d.message.what, "Connection refused") != NULL);
    driven_end(&d);
}

/* A client that somebody else wrote: PyVISA with its pure Python back end. */
TEST(pyvisa_speaks_to_the_server)
{
    static const char *const has[] = {"python3", "-c", "import pyvisa, pyvisa_py", NULL};
    if (peer_tool("python3") == NULL || !peer_succeeds(has))
        SKIP("pyvisa and its py back end are not installed");
    serve_it();
    char script[600], line[200];
    snprintf(
        script, sizeof script,
        "import pyvisa\n"
        "m = pyvisa.ResourceManager('@py').open_resource('TCPIP::127.0.0.1::%d::SOCKET', read_termination='\\n', "
        "write_termination='\\n', timeout=2000)\n"
        "m.write('*CLS')\n"
        "v = m.query_ascii_values('MEAS:VOLT?;CURR?', separator=';')\n"
        "m.write('MEAS:OVEN?')\n"
        "print(m.query('*IDN?'), v, m.query('SYST:ERR?'), m.query('*STB?'), sep='|', flush=True)\n",
        port);
    struct peer peer = peer_start((const char *const[]){"python3", "-c", script, NULL});
    CHECK(peer_line(&peer, line, sizeof line, 10000));
    CHECK_TEXT(line, "Invented,Bench meter,0007,1.0|[13.271, -3.05]|-113,\"Undefined header\"|0");
    CHECK(peer_end(&peer) == 0);
    server_stop(server);
}

static struct news next_news(struct runner *runner)
{
    struct news news = {.kind = NEWS_END};
    runner_take(runner, &news, 1, 2000);
    return news;
}

TEST(the_runner_waits_for_a_meter_that_is_switched_on_later)
{
    struct runner *runner = NULL;
    port = peer_free_port();
    CHECK(driven_prepare(&d, 50,
                         "driver = scpi\naddress = tcp 127.0.0.1:%d\nperiod = 100 ms\ntimeout = 50 s\n"
                         "voltage from = MEAS:VOLT?\n",
                         port) == STATUS_OK);
    CHECK(runner_prepare(&d.links, drivers, &d.clock, 8, &runner, &message) == STATUS_OK);
    CHECK(runner_start(runner, &message) == STATUS_OK);
    struct news lost = next_news(runner);
    CHECK(lost.kind == NEWS_LOST && strstr(lost.text, "Connection refused") != NULL);
    usleep(50000); /* 2.5 s: the second try, a second later, fails too */
    CHECK(serve_scpi(&view, port, &server, &port, &message) == STATUS_OK);
    struct news connected = next_news(runner);
    CHECK(connected.kind == NEWS_CONNECTED);
    CHECK_TEXT(connected.text, "Invented,Bench meter,0007,1.0");
    CHECK((double)(connected.at_ns - lost.at_ns) * 1e-9 >= 3); /* 1 s and 2 s of back-off */
    int64_t before_ns = connected.at_ns;
    for (int k = 0; k < 5; k++) {
        struct news reading = next_news(runner);
        CHECK(reading.kind == NEWS_READING && reading.arrival.cells[0].mantissa == 13271);
        CHECK(reading.at_ns > before_ns);
        before_ns = reading.at_ns;
    }
    server_stop(server); /* unplugged */
    struct news news = next_news(runner);
    for (int k = 0; k < 100 && news.kind == NEWS_READING; k++)
        news = next_news(runner);
    CHECK(news.kind == NEWS_LOST);
    /* a question that was on its way is answered by the machine itself, with a reset */
    CHECK(strcmp(news.text, "the instrument closed the connection") == 0 || strcmp(news.text, "Connection reset by peer") == 0);
    runner_free(runner);
    driven_end(&d);
}
