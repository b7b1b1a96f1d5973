#include "http/serving.h"
#include "check.h"

#include <arpa/inet.h>
#include <dirent.h>
#include <netinet/in.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

/* A server of a few routes on a port of its own, which loses patience soon, and peers that speak in plain bytes. */
enum { PATIENCE_MS = 250, LARGE = 8 << 20 };

struct hall {
    struct clock clock;
    struct events *events;
    struct door *door;
    struct http_server *server;
    char spool[64];
};

static void on_echo(void *context, const struct http_request *request, struct http_reply *reply)
{
    text_add_bytes(&reply->body, request->body.p, request->body.n);
    reply->type = "text/plain";
}

static void on_upload(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct text kept = TEXT_EMPTY;
    CHECK(request->body.n == 0 && text_read_file(request->body_path, 1 << 20, &kept) == 0);
    text_addf(&reply->body, "%zu", kept.length);
    text_free(&kept);
}

static void on_slow(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct clock clock = clock_machine();
    clock.wait_ns(clock.context, clock.now_ns(clock.context) + 2 * PATIENCE_MS * 1000000LL);
    text_add(&reply->body, "late");
}

static void on_large(void *context, const struct http_request *request, struct http_reply *reply)
{
    static char line[1024];
    memset(line, 'x', sizeof line);
    for (size_t k = 0; k < LARGE / sizeof line; k++)
        text_add_bytes(&reply->body, line, sizeof line);
    reply->type = "application/octet-stream";
}

static const struct http_route routes[] = {
    {.method = "POST", .pattern = "/echo", .role = HTTP_READER, .body_limit = 100, .answer = on_echo},
    {.method = "PUT", .pattern = "/upload", .role = HTTP_OPERATOR, .body_limit = 100000, .flags = HTTP_SPOOL,
     .answer = on_upload},
    {.method = "GET", .pattern = "/slow", .role = HTTP_READER, .answer = on_slow},
    {.method = "GET", .pattern = "/large", .role = HTTP_READER, .answer = on_large},
    {.method = "GET", .pattern = "/events", .role = HTTP_READER, .flags = HTTP_EVENTS},
    {0},
};
static const struct http_route *const tables[] = {routes, NULL};

static void hall_open(struct hall *hall)
{
    struct message message;
    *hall = (struct hall){.clock = clock_machine(), .events = events_new(64, 1)};
    hall->door = door_new(&hall->clock);
    snprintf(hall->spool, sizeof hall->spool, "%s/rundown-spool-XXXXXX", P_tmpdir);
    CHECK(mkdtemp(hall->spool) != NULL);
    struct http_setup setup = {.tables = tables, .events = hall->events, .door = hall->door, .spool = hall->spool,
                               .patience_ms = PATIENCE_MS};
    if (http_open(&setup, &hall->server, &message) != STATUS_OK) {
        test_failed(__FILE__, __LINE__, message.what);
        exit(1);
    }
}

static int spooled(const struct hall *hall)
{
    DIR *folder = opendir(hall->spool);
    int count = -2;
    while (folder != NULL && readdir(folder) != NULL)
        count++;
    closedir(folder);
    return count;
}

static void hall_close(struct hall *hall)
{
    http_close(hall->server);
    door_free(hall->door);
    events_free(hall->events);
    CHECK(rmdir(hall->spool) == 0); /* empty */
}

/* `room` of the peer for what comes; 0: as the system has it. */
static int reach_with(const struct hall *hall, int room)
{
    struct sockaddr_in place = {.sin_family = AF_INET, .sin_port = htons((uint16_t)http_port(hall->server)),
                                .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    int fd = socket(AF_INET, SOCK_STREAM, 0);
    if (room > 0)
        CHECK(setsockopt(fd, SOL_SOCKET, SO_RCVBUF, &room, sizeof room) == 0);
    CHECK(connect(fd, (struct sockaddr *)&place, sizeof place) == 0);
    return fd;
}

static int reach(const struct hall *hall)
{
    return reach_with(hall, 0);
}

static bool say(int fd, const char *words)
{
    return send(fd, words, strlen(words), MSG_NOSIGNAL) == (ssize_t)strlen(words);
}

/* Adds what comes until the line ends, `until` was heard, or nothing came for 3 s; true when the line ended. */
static bool hear(int fd, const char *until, struct text *heard)
{
    char bytes[4096];
    while (until == NULL || heard->s == NULL || strstr(heard->s, until) == NULL) {
        struct pollfd ready = {.fd = fd, .events = POLLIN};
        if (poll(&ready, 1, 3000) != 1)
            return false;
        ssize_t n = recv(fd, bytes, sizeof bytes, 0);
        if (n <= 0)
            return true;
        text_add_bytes(heard, bytes, (size_t)n);
    }
    return false;
}

static int64_t ms(void)
{
    struct clock clock = clock_machine();
    return clock.now_ns(clock.context) / 1000000;
}

static bool has(const struct text *heard, const char *words)
{
    return strstr(text_string(heard), words) != NULL;
}

#define HEAD(line_) line_ " HTTP/1.1\r\nHost: localhost\r\nOrigin: http://localhost\r\n"

TEST(requests_follow_each_other_on_one_line)
{
    struct hall hall;
    struct text heard = TEXT_EMPTY;
    hall_open(&hall);
    int fd = reach(&hall);
    CHECK(say(fd, HEAD("POST /echo") "Content-Length: 5\r\n\r\nfirst"));
    hear(fd, "first", &heard);
    CHECK(has(&heard, "HTTP/1.1 200") && has(&heard, "Content-Type: text/plain"));
    text_free(&heard);
    CHECK(say(fd, HEAD("GET /nowhere") "\r\n")); /* refused, and the line goes on */
    hear(fd, "nothing at this address", &heard);
    CHECK(has(&heard, "HTTP/1.1 404"));
    text_free(&heard);
    CHECK(say(fd, HEAD("POST /echo") "Content-Length: 101\r\n\r\n"));
    for (int k = 0; k < 101; k++)
        CHECK(say(fd, "x"));
    hear(fd, "100 bytes that are taken", &heard);
    CHECK(has(&heard, "HTTP/1.1 413"));
    text_free(&heard);
    CHECK(say(fd, HEAD("POST /echo") "Content-Length: 6\r\n\r\nsecond"));
    hear(fd, "second", &heard);
    CHECK(has(&heard, "HTTP/1.1 200"));
    close(fd);
    text_free(&heard);
    hall_close(&hall);
}

TEST(a_head_that_dribbles_in_is_dropped)
{
    struct hall hall;
    struct text heard = TEXT_EMPTY;
    hall_open(&hall);
    int fd = reach(&hall), silent = reach(&hall), gone = reach(&hall);
    int64_t began = ms();
    say(gone, "GET /slow HTTP/1.1\r\nHost: loc"); /* half of it, then nothing, the line stays open */
    say(fd, "GET / HTTP/1.1\r\nX-Slow: ");
    while (ms() - began < 14 * PATIENCE_MS && say(fd, "x")) { /* a byte now and then is never idle */
        struct timespec moment = {.tv_nsec = 20000000};
        nanosleep(&moment, NULL);
    }
    CHECK(ms() - began >= PATIENCE_MS && ms() - began < 12 * PATIENCE_MS);
    CHECK(hear(silent, NULL, &heard) && heard.length == 0);
    CHECK(hear(gone, NULL, &heard) && heard.length == 0);
    close(fd);
    close(silent);
    close(gone);
    text_free(&heard);
    hall_close(&hall);
}

TEST(a_body_that_dribbles_in_is_dropped_and_leaves_no_file)
{
    struct hall hall;
    struct text heard = TEXT_EMPTY;
    hall_open(&hall);
    int fd = reach(&hall);
    int64_t began = ms();
    CHECK(say(fd, HEAD("PUT /upload") "Content-Length: 5000\r\n\r\n"));
    while (ms() - began < 14 * PATIENCE_MS && say(fd, "x")) {
        struct timespec moment = {.tv_nsec = 20000000};
        nanosleep(&moment, NULL);
    }
    CHECK(ms() - began < 12 * PATIENCE_MS);
    CHECK(hear(fd, NULL, &heard) && !has(&heard, "200"));
    for (int waited = 0; waited < 100 && spooled(&hall) > 0; waited++) {
        struct timespec moment = {.tv_nsec = 10000000};
        nanosleep(&moment, NULL);
    }
    CHECK(spooled(&hall) == 0);
    close(fd);
    text_free(&heard);
    hall_close(&hall);
}

TEST(a_reply_that_is_not_taken_is_dropped_and_one_that_is_goes_whole)
{
    struct hall hall;
    struct text heard = TEXT_EMPTY;
    hall_open(&hall);
    int fd = reach(&hall);
    CHECK(say(fd, HEAD("GET /large") "\r\n"));
    hear(fd, "\r\n\r\n", &heard);
    char length[32];
    snprintf(length, sizeof length, "Content-Length: %d", LARGE);
    CHECK(has(&heard, length));
    say(fd, HEAD("GET /large") "Connection: close\r\n\r\n");
    CHECK(hear(fd, NULL, &heard) && heard.length > 2 * (size_t)LARGE);
    close(fd);
    text_free(&heard);
    hall_close(&hall);
}

TEST(a_handler_may_take_longer_than_a_peer)
{
    struct hall hall;
    struct text heard = TEXT_EMPTY;
    hall_open(&hall);
    int fd = reach(&hall);
    CHECK(say(fd, HEAD("GET /slow") "\r\n"));
    hear(fd, "late", &heard);
    CHECK(has(&heard, "HTTP/1.1 200"));
    close(fd);
    text_free(&heard);
    hall_close(&hall);
}

TEST(an_upload_is_a_file_while_it_is_answered)
{
    struct hall hall;
    struct text heard = TEXT_EMPTY;
    hall_open(&hall);
    int fd = reach(&hall);
    CHECK(say(fd, HEAD("PUT /upload") "Transfer-Encoding: chunked\r\n\r\n5\r\nabcde\r\n3\r\nfgh\r\n0\r\n\r\n"));
    hear(fd, "\r\n\r\n8", &heard);
    CHECK(has(&heard, "HTTP/1.1 200"));
    text_free(&heard);
    CHECK(say(fd, HEAD("PUT /upload") "Transfer-Encoding: chunked\r\n\r\n")); /* too much, undeclared */
    for (int k = 0; k < 110; k++) {
        char chunk[1100];
        snprintf(chunk, sizeof chunk, "400\r\n%01024d\r\n", k);
        CHECK(say(fd, chunk));
    }
    CHECK(say(fd, "0\r\n\r\n"));
    hear(fd, "are taken here", &heard);
    CHECK(has(&heard, "HTTP/1.1 413"));
    close(fd);
    text_free(&heard);
    hall_close(&hall);
}

TEST(a_stream_carries_events_at_once_and_ends_with_the_server)
{
    struct hall hall;
    struct text heard = TEXT_EMPTY;
    hall_open(&hall);
    int fd = reach(&hall);
    CHECK(say(fd, HEAD("GET /events?topics=live") "\r\n"));
    hear(fd, "id: 0000000000000001-0\n", &heard);
    CHECK(has(&heard, "Content-Type: text/event-stream") && has(&heard, "retry: "));
    for (int k = 1; k <= 20; k++) {
        char wanted[64];
        int64_t said = ms();
        snprintf(wanted, sizeof wanted, "id: 0000000000000001-%d\n", k);
        events_publish(hall.events, "live", span_of("{}"));
        hear(fd, wanted, &heard);
        CHECK(has(&heard, wanted) && ms() - said < 100);
    }
    struct timespec moment = {.tv_nsec = 2 * PATIENCE_MS * 1000000L};
    nanosleep(&moment, NULL); /* nobody owes anything meanwhile */
    events_publish(hall.events, "live", span_of("{\"still\": true}"));
    hear(fd, "still", &heard);
    CHECK(has(&heard, "still"));
    http_close(hall.server);
    hall.server = NULL;
    CHECK(hear(fd, NULL, &heard));
    close(fd);
    text_free(&heard);
    hall_close(&hall);
}

/* A peer that takes nothing any more: the buffers between fill up, then it is late. What was on its way it may still
 * find when it looks again, and then the end. */
TEST(a_stream_that_is_not_taken_is_dropped)
{
    static char line[300];
    struct hall hall;
    struct text heard = TEXT_EMPTY;
    int small = 4096;
    hall_open(&hall);
    int fd = reach_with(&hall, small);
    CHECK(say(fd, HEAD("GET /events") "\r\n"));
    hear(fd, "retry", &heard);
    memset(line, 'x', sizeof line - 1);
    for (int64_t began = ms(); ms() - began < 5 * PATIENCE_MS;) {
        struct timespec moment = {.tv_nsec = 100000};
        events_publish(hall.events, "live", span_of(line));
        nanosleep(&moment, NULL);
    }
    CHECK(hear(fd, NULL, &heard));
    close(fd);
    text_free(&heard);
    hall_close(&hall);
}

TEST(streams_leave_room_for_requests)
{
    enum { STREAMS = 60 };
    struct hall hall;
    struct text heard = TEXT_EMPTY;
    int fds[STREAMS], taken = 0, refused = 0;
    hall_open(&hall);
    for (int k = 0; k < STREAMS; k++) {
        fds[k] = reach(&hall);
        text_free(&heard);
        CHECK(say(fds[k], HEAD("GET /events") "\r\n"));
        hear(fds[k], "\r\n\r\n", &heard);
        taken += has(&heard, "HTTP/1.1 200");
        refused += has(&heard, "HTTP/1.1 503");
    }
    CHECK_NEAR(taken, 48, 0);
    CHECK_NEAR(refused, 12, 0);
    int fd = reach(&hall);
    text_free(&heard);
    CHECK(say(fd, HEAD("POST /echo") "Content-Length: 2\r\n\r\nhi"));
    hear(fd, "\r\n\r\nhi", &heard);
    CHECK(has(&heard, "HTTP/1.1 200"));
    close(fd);
    for (int k = 0; k < STREAMS; k++)
        close(fds[k]);
    /* Those that went leave their places soon, though nothing is said to them. */
    bool let_in = false;
    for (int64_t began = ms(); !let_in && ms() - began < 5000;) {
        struct timespec moment = {.tv_nsec = 50000000};
        nanosleep(&moment, NULL);
        fd = reach(&hall);
        text_free(&heard);
        CHECK(say(fd, HEAD("GET /events") "\r\n"));
        hear(fd, "\r\n\r\n", &heard);
        let_in = has(&heard, "HTTP/1.1 200");
        close(fd);
    }
    CHECK(let_in);
    text_free(&heard);
    hall_close(&hall);
}

TEST(a_port_is_taken_once)
{
    struct hall hall;
    struct http_server *second = NULL;
    struct message message = {0};
    hall_open(&hall);
    struct http_setup setup = {.tables = tables, .events = hall.events, .door = hall.door, .spool = hall.spool,
                               .port = http_port(hall.server)};
    CHECK(http_open(&setup, &second, &message) == STATUS_UNREADABLE && second == NULL);
    CHECK(strstr(message.remedy, "--port") != NULL);
    hall_close(&hall);
}
