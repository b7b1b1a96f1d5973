#include "web/web.h"

#include "base/memory.h"
#include "book/checksum.h"
#include "web/areas.h"
#include "web/browser.h"
#include "web/open_lock.h"
#include "web/spool.h"
#include "web/welcome.h"

#include <errno.h>
#include <pthread.h>
#include <signal.h>

enum { NEWS_KEPT = 8192, USUAL_PORTS_FROM = 20000, USUAL_PORTS = 10000 };

struct open_book {
    char *path; /* whole, so that each way to the file is one book */
    int lock;
    char *spool;
    struct events *events;
    struct door *door;
    struct workshop *workshop;
    struct http_server *server;
};

static enum status find_book(const char *book, char **ret_path, struct message *message)
{
    char *path = realpath(book, NULL);
    if (path == NULL) {
        status_fail(message, STATUS_UNREADABLE, "cannot be opened: %s", strerror(errno));
        status_at(message, book, 0, 0);
        return status_remedy(message, "`rundown book new BOOK` makes an empty one");
    }
    *ret_path = path;
    return STATUS_OK;
}

/* The same one for a book each time where it is free: bookmarks go on working, and what a browser keeps of its
 * settings, which it keeps by address. Below those that the system hands out. */
static int usual_port(const char *path)
{
    return USUAL_PORTS_FROM + (int)(checksum((const unsigned char *)path, strlen(path), 0) % USUAL_PORTS);
}

static enum status serve_at(struct open_book *open, const struct web_request *request, struct message *message)
{
    struct http_setup setup = {
        .tables = areas, .context = open->workshop, .events = open->events, .door = open->door,
        .spool = open->spool, .share = request->share, .port = request->port,
    };
    if (request->port >= 0)
        return http_open(&setup, &open->server, message);
    setup.port = usual_port(open->path);
    if (http_open(&setup, &open->server, message) == STATUS_OK)
        return STATUS_OK;
    setup.port = 0;
    return http_open(&setup, &open->server, message);
}

static enum status open_all(struct open_book *open, const struct web_request *request, struct message *message)
{
    struct clock clock = clock_machine();
    enum status status = find_book(request->book, &open->path, message);
    if (status == STATUS_OK)
        status = open_lock(open->path, &open->lock, message);
    if (status == STATUS_OK)
        status = spool_make(open->path, &open->spool, message);
    if (status != STATUS_OK)
        return status;
    open->events = events_new(NEWS_KEPT, (uint64_t)clock.utc_ns(clock.context));
    open->door = door_new(&clock);
    struct workshop_setup setup = {
        .book = request->book, .events = open->events, .door = open->door, .spool = open->spool};
    status = workshop_open(&setup, &open->workshop, message);
    return status == STATUS_OK ? serve_at(open, request, message) : status;
}

/* The handlers end before what they use: the server waits for them. */
static void close_all(struct open_book *open)
{
    http_close(open->server);
    workshop_close(open->workshop);
    door_free(open->door);
    events_free(open->events);
    spool_remove(open->spool);
    if (open->path != NULL)
        open_unlock(open->path, open->lock);
    free(open->spool);
    free(open->path);
}

/* A blocked signal is kept even where it is ignored: one that goes on without a terminal (nohup) is left to. */
static sigset_t ending_signals(void)
{
    sigset_t ends;
    struct sigaction hang_up;
    sigemptyset(&ends);
    sigaddset(&ends, SIGINT);
    sigaddset(&ends, SIGTERM);
    if (sigaction(SIGHUP, NULL, &hang_up) == 0 && hang_up.sa_handler != SIG_IGN)
        sigaddset(&ends, SIGHUP);
    return ends;
}

enum status web_serve(const struct web_request *request, struct message *message)
{
    struct open_book open = {.lock = -1};
    sigset_t ends = ending_signals(), before;
    int came = 0;
    char address[64];
    pthread_sigmask(SIG_BLOCK, &ends, &before); /* every thread that starts from here leaves them to sigwait */
    signal(SIGPIPE, SIG_IGN); /* a peer that goes away is found out by the write that fails */
    enum status status = open_all(&open, request, message);
    if (status == STATUS_OK) {
        snprintf(address, sizeof address, "http://127.0.0.1:%d/", http_port(open.server));
        open_lock_say(open.lock, address);
        welcome(request->book, open.server, open.door, request->share, request->quiet);
        if (request->browser)
            browser_show(address);
        sigwait(&ends, &came);
    }
    pthread_sigmask(SIG_SETMASK, &before, NULL); /* a second Ctrl-C ends without ado */
    close_all(&open);
    return status;
}
