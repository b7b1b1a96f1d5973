#include "instrument/transport.h"

#include "base/memory.h"
#include "instrument/reach.h"

#include <errno.h>
#include <linux/usb/tmc.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <unistd.h>

struct transport {
    struct address address;
    const struct clock *clock;
    double timeout_s;
    int fd;
    bool whole_messages; /* a USBTMC device: read waits by itself, and poll would not */
    bool dropping;       /* within a line that is too long */
    bool half;           /* what is buffered will never be completed */
    enum got ended;      /* GOT_END or GOT_LOST once so, else GOT_NOTHING */
    char why[200];
    int64_t first_ns, last_ns; /* when the first byte of the line in hand, and the newest byte, were read */
    size_t begin, end;
    char data[TRANSPORT_LINE + 4096];
};

/* Some instruments need a while; the kernel keeps to at least 100 ms. */
static void set_device_timeout(struct transport *t)
{
    double ms = fmax(100, t->timeout_s * 1000 / t->clock->rate);
    unsigned whole_ms = (unsigned)fmin(ms, 3600e3);
    t->whole_messages = ioctl(t->fd, USBTMC_IOCTL_SET_TIMEOUT, &whole_ms) == 0;
}

enum status transport_open(const struct address *address, const struct clock *clock, double timeout_s,
                           struct transport **ret_transport, struct message *message)
{
    int fd;
    enum status status = reach_open(address, clock, timeout_s, &fd, message);
    if (status != STATUS_OK)
        return status;
    struct transport *t = memory_get(sizeof *t);
    t->address = *address;
    t->clock = clock;
    t->timeout_s = timeout_s;
    t->fd = fd;
    t->ended = GOT_NOTHING;
    if (address->kind == ADDRESS_USBTMC)
        set_device_timeout(t);
    *ret_transport = t;
    return STATUS_OK;
}

void transport_close(struct transport *t)
{
    if (t == NULL)
        return;
    close(t->fd);
    free(t);
}

static ssize_t send_some(struct transport *t, struct span bytes)
{
    return t->address.kind == ADDRESS_TCP ? send(t->fd, bytes.p, bytes.n, MSG_NOSIGNAL)
                                          : write(t->fd, bytes.p, bytes.n);
}

enum status transport_send(struct transport *t, struct span bytes, struct message *message)
{
    int64_t until_ns = reach_until_ns(t->clock, t->timeout_s);
    while (bytes.n > 0) {
        ssize_t sent = send_some(t, bytes);
        if (sent >= 0) {
            bytes = (struct span){bytes.p + sent, bytes.n - (size_t)sent};
        } else if (errno == EAGAIN) {
            if (!reach_wait(t->fd, POLLOUT, t->clock, until_ns))
                return status_fail(message, STATUS_UNREADABLE, "the instrument takes no commands: timeout");
        } else if (errno != EINTR) {
            return status_fail(message, STATUS_UNREADABLE, "the connection is lost: %s", strerror(errno));
        }
    }
    return STATUS_OK;
}

static bool is_end(char c)
{
    return c == '\n' || c == '\r';
}

/* A whole line out of the buffer. */
static enum got take_line(struct transport *t, struct span *ret_line, struct line_time *ret_time)
{
    while (t->begin < t->end && is_end(t->data[t->begin]) && !t->dropping)
        t->begin++;
    size_t n = 0;
    while (t->begin + n < t->end && !is_end(t->data[t->begin + n]))
        n++;
    bool whole = t->begin + n < t->end, long_line = t->dropping || n > TRANSPORT_LINE;
    if (!whole && !long_line)
        return GOT_NOTHING;
    struct span line = {t->data + t->begin, n};
    t->begin += n + whole;
    t->dropping = long_line && !whole;
    if (!whole)
        return GOT_NOTHING;
    *ret_time = (struct line_time){t->first_ns, t->last_ns};
    t->first_ns = t->last_ns;
    *ret_line = line;
    return long_line ? GOT_LONG : GOT_LINE;
}

static void end(struct transport *t, enum got how, const char *why)
{
    t->ended = how;
    t->half = true;
    snprintf(t->why, sizeof t->why, "%s", why);
}

/* At the end of a followed file: another of that name goes on, or this one was cut. */
static void follow(struct transport *t)
{
    struct stat here, named;
    if (fstat(t->fd, &here) != 0 || stat(t->address.where, &named) != 0)
        return; /* between two files of that name, perhaps */
    if (here.st_ino != named.st_ino || here.st_dev != named.st_dev) {
        int fd;
        if (reach_open(&t->address, t->clock, t->timeout_s, &fd, NULL) != STATUS_OK)
            return;
        close(t->fd);
        t->fd = fd;
        t->half = true;
    } else if (here.st_size < lseek(t->fd, 0, SEEK_CUR)) {
        t->half = true;
        if (lseek(t->fd, 0, SEEK_SET) != 0)
            end(t, GOT_LOST, "the file cannot be read from its start again");
    }
}

/* What reading gave: bytes, an end, or a fault. */
static void judge(struct transport *t, ssize_t count)
{
    if (count > 0) {
        t->last_ns = t->clock->now_ns(t->clock->context);
        if (t->begin == t->end)
            t->first_ns = t->last_ns;
        t->end += (size_t)count;
    } else if (count < 0) {
        bool later = errno == EAGAIN || errno == EINTR || (t->whole_messages && errno == ETIMEDOUT);
        if (!later)
            end(t, GOT_LOST, strerror(errno));
    } else if (t->address.kind == ADDRESS_PATH) {
        follow(t);
    } else if (t->address.kind == ADDRESS_STDIN) {
        end(t, GOT_END, "standard input ended");
    } else {
        end(t, GOT_LOST,
            t->address.kind == ADDRESS_TCP ? "the instrument closed the connection" : "the device is gone");
    }
}

/* Makes room and reads what is there; false when nothing came until then. */
static bool fill(struct transport *t, int64_t until_ns)
{
    memmove(t->data, t->data + t->begin, t->end - t->begin);
    t->end -= t->begin;
    t->begin = 0;
    bool file = t->address.kind == ADDRESS_PATH;
    if (!t->whole_messages && !file && !reach_wait(t->fd, POLLIN, t->clock, until_ns))
        return false;
    size_t before = t->end;
    judge(t, read(t->fd, t->data + t->end, sizeof t->data - t->end));
    if (t->end > before || t->half || t->ended != GOT_NOTHING)
        return true;
    int64_t now_ns = t->clock->now_ns(t->clock->context), soon_ns = now_ns + (int64_t)(20e6 * t->clock->rate);
    if (file && now_ns < until_ns)
        t->clock->wait_ns(t->clock->context, soon_ns < until_ns ? soon_ns : until_ns);
    return now_ns < until_ns;
}

enum got transport_line(struct transport *t, double timeout_s, struct span *ret_line,
                        struct line_time *ret_time, struct message *message)
{
    int64_t until_ns = reach_until_ns(t->clock, t->whole_messages ? t->timeout_s : timeout_s);
    struct span line;
    struct line_time time;
    for (;;) {
        enum got got = take_line(t, &line, &time);
        if (got == GOT_LINE)
            *ret_line = line, *ret_time = time;
        if (got != GOT_NOTHING)
            return got;
        if (t->half) {
            bool some = t->end > t->begin || t->dropping;
            t->half = t->dropping = false;
            t->begin = t->end = 0;
            if (some)
                return GOT_HALF;
        }
        if (t->ended != GOT_NOTHING) {
            status_fail(message, STATUS_UNREADABLE, "%s", t->why);
            return t->ended;
        }
        if (!fill(t, until_ns))
            return GOT_NOTHING;
    }
}

bool transport_discard(struct transport *t)
{
    char last = '\0';
    t->begin = t->end = 0;
    t->dropping = t->half = false;
    if (t->address.kind == ADDRESS_PATH) {
        off_t end_at = lseek(t->fd, 0, SEEK_END);
        return end_at == 0 || (end_at > 0 && pread(t->fd, &last, 1, end_at - 1) == 1 && is_end(last));
    }
    if (t->whole_messages) {
        ioctl(t->fd, USBTMC_IOCTL_CLEAR); /* an answer that nobody fetched */
        return false;
    }
    struct pollfd one = {.fd = t->fd, .events = POLLIN};
    for (int k = 0; k < 64 && t->ended == GOT_NOTHING && poll(&one, 1, 0) > 0; k++) {
        judge(t, read(t->fd, t->data, sizeof t->data));
        t->begin = t->end = 0;
    }
    return false;
}
