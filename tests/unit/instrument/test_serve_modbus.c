#include "instrument/modbus.h"
#include "instrument/serve.h"

#include "check.h"
#include "invented_link.h"
#include "peer.h"

#include <stdatomic.h>

static atomic_bool dark;

static bool show_row(void *context, struct serve_row *ret_row)
{
    *ret_row = (struct serve_row){.time_s = 3600.25,
                                  .cells = {{1290, 2, DECIMAL_NUMBER},
                                            {-205150, 4, DECIMAL_NUMBER},
                                            {.kind = DECIMAL_OVERLOAD},
                                            {.kind = DECIMAL_MISSING}}};
    return !dark;
}

static const struct serve_view view = {"Invented,Bench meter,0007,1.0",
                                       {CHANNEL_VOLTAGE, CHANNEL_CURRENT, CHANNEL_POWER, CHANNEL_TEMPERATURE},
                                       4,
                                       show_row,
                                       NULL,
                                       NULL};

static struct server *served(int *ret_port)
{
    struct server *server = NULL;
    struct message message;
    dark = false;
    CHECK(serve_modbus(&view, 0, &server, ret_port, &message) == STATUS_OK);
    return server;
}

/* All that a client prints, its lines joined by `|`. */
static void poll_with(struct text *ret_said, int port, const char *table, const char *first,
                      const char *count)
{
    char number[16], line[256];
    snprintf(number, sizeof number, "%d", port);
    struct peer peer =
        peer_start((const char *const[]){"mbpoll", "-m", "tcp", "-p", number, "-0", "-B", "-1", "-o", "0.3",
                                         "-t", table, "-r", first, "-c", count, "127.0.0.1", NULL});
    *ret_said = TEXT_EMPTY;
    while (peer_line(&peer, line, sizeof line, 3000))
        if (line[0] == '[')
            text_addf(ret_said, "%s|", line);
    peer_end(&peer);
}

TEST(a_client_of_another_make_reads_the_map)
{
    if (peer_tool("mbpoll") == NULL)
        SKIP("mbpoll is not installed");
    int port;
    struct server *server = served(&port);
    struct text said;
    poll_with(&said, port, "3:int", "0", "5");
    CHECK_TEXT(text_string(&said), "[0]: \t3600250|[2]: \t12900|[4]: \t-20515|[6]: \t2147483647|[8]: \t-2147483648|");
    text_free(&said);
    poll_with(&said, port, "4:float", "20", "4");
    CHECK_TEXT(text_string(&said), "[20]: \t12.9|[22]: \t-20.515|[24]: \tinf|[26]: \tnan|");
    text_free(&said);
    poll_with(&said, port, "4:int", "18", "1");
    CHECK_TEXT(text_string(&said), "[18]: \t3600250|");
    text_free(&said);
    poll_with(&said, port, "3", "36", "1");
    CHECK_TEXT(text_string(&said), "[36]: \t4|");
    text_free(&said);
    poll_with(&said, port, "3", "36", "2"); /* beyond the map */
    CHECK_TEXT(text_string(&said), "");
    text_free(&said);
    server_stop(server);
}

static int client_of(int port)
{
    struct sockaddr_in at = {
        .sin_family = AF_INET, .sin_port = htons((uint16_t)port), .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    CHECK(connect(fd, (struct sockaddr *)&at, sizeof at) == 0);
    return fd;
}

/* MODBUS Messaging on TCP/IP V1.0b, 3.1.3 (the header) and Application Protocol V1.1b3, 6.3, 6.6 and 7. */
TEST(frames_on_the_wire_are_those_of_the_specification)
{
    static const uint8_t ask[] = {0x15, 0x01, 0, 0, 0, 6, 0xFF, 3, 0, 2, 0, 2};
    static const uint8_t want[] = {0x15, 0x01, 0, 0, 0, 7, 0xFF, 3, 4, 0, 0, 0x32, 0x64};
    static const uint8_t write_one[] = {0x15, 0x02, 0, 0, 0, 6, 1, 6, 0, 0, 0, 2};
    static const uint8_t refused[] = {0x15, 0x02, 0, 0, 0, 3, 1, 0x86, 1};
    static const uint8_t beyond[] = {0x15, 0x03, 0, 0, 0, 6, 1, 4, 0, 36, 0, 2};
    static const uint8_t no_address[] = {0x15, 0x03, 0, 0, 0, 3, 1, 0x84, 2};
    int port;
    struct server *server = served(&port);
    uint8_t got[32];
    int silent = client_of(port); /* connects, sends half a frame and stays */
    CHECK(send(silent, ask, 5, 0) == 5);
    int fd = client_of(port);
    CHECK(send(fd, ask, sizeof ask, 0) == sizeof ask);
    CHECK(recv(fd, got, sizeof got, 0) == sizeof want && memcmp(got, want, sizeof want) == 0);
    CHECK(send(fd, write_one, sizeof write_one, 0) == sizeof write_one);
    CHECK(recv(fd, got, sizeof got, 0) == sizeof refused && memcmp(got, refused, sizeof refused) == 0);
    CHECK(send(fd, beyond, sizeof beyond, 0) == sizeof beyond);
    CHECK(recv(fd, got, sizeof got, 0) == sizeof no_address &&
          memcmp(got, no_address, sizeof no_address) == 0);
    close(silent);
    int gone = client_of(port); /* asks and does not wait for the answer */
    CHECK(send(gone, ask, sizeof ask, 0) == sizeof ask);
    close(gone);
    CHECK(send(fd, ask, sizeof ask, 0) == sizeof ask);
    CHECK(recv(fd, got, sizeof got, 0) == sizeof want && memcmp(got, want, sizeof want) == 0);
    close(fd);
    server_stop(server);
}

TEST(our_driver_reads_it_until_it_goes_dark)
{
    int port;
    struct server *server = served(&port);
    char address[64], identity[128];
    snprintf(address, sizeof address, "tcp 127.0.0.1:%d", port);
    struct link link = invented_link("modbus", address);
    link.timeout_s = 0.3;
    invented_channel(&link, "voltage", "input 2 i32 except 0x80000000 overload 0x7FFFFFFF");
    invented_channel(&link, "current", "holding 22 float32");
    invented_channel(&link, "power", "input 6 i32 except 0x80000000 overload 0x7FFFFFFF");
    invented_channel(&link, "temperature", "input 26 float32");
    link.own_time = true;
    link.time_source = (struct link_channel){.name = "time", .source = "input 0 u32"};
    struct clock clock = clock_machine();
    struct arrival arrival = {0};
    struct message message = {0};
    void *state = NULL;
    CHECK(modbus_driver.prepare(&link, &clock, &state, &message) == STATUS_OK);
    CHECK(modbus_driver.connect(state, identity, &message) == STATUS_OK);
    CHECK(modbus_driver.hear(state, 1, &arrival, &message) == HEARD_READING);
    CHECK_TEXT(shown(&arrival, 0), "12900");
    CHECK_TEXT(shown(&arrival, 1), "-20.515");
    CHECK_TEXT(shown(&arrival, 2), "OL");
    CHECK_TEXT(shown(&arrival, 3), "missing");
    CHECK(arrival.time.mantissa == 3600250);
    dark = true;
    CHECK(modbus_driver.hear(state, 1, &arrival, &message) == HEARD_LOST);
    CHECK(modbus_driver.connect(state, identity, &message) ==
          STATUS_OK); /* a socket, and silence behind it */
    CHECK(modbus_driver.hear(state, 1, &arrival, &message) == HEARD_LOST);
    dark = false;
    CHECK(modbus_driver.connect(state, identity, &message) == STATUS_OK);
    CHECK(modbus_driver.hear(state, 1, &arrival, &message) == HEARD_READING);
    modbus_driver.free(state);
    server_stop(server);
    server_stop(NULL);
}
