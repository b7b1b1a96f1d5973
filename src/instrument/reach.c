#include "instrument/reach.h"

#include <errno.h>
#include <fcntl.h>
#include <netdb.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

static const struct {
    int baud;
    speed_t speed;
} speeds[] = {
    {300, B300},       {600, B600},       {1200, B1200},     {2400, B2400},     {4800, B4800},
    {9600, B9600},     {19200, B19200},   {38400, B38400},   {57600, B57600},   {115200, B115200},
    {230400, B230400}, {460800, B460800}, {500000, B500000}, {921600, B921600}, {1000000, B1000000},
};

static bool find_speed(int baud, speed_t *ret_speed)
{
    for (size_t k = 0; k < sizeof speeds / sizeof *speeds; k++)
        if (speeds[k].baud == baud) {
            *ret_speed = speeds[k].speed;
            return true;
        }
    return false;
}

int64_t reach_until_ns(const struct clock *clock, double seconds)
{
    return clock->now_ns(clock->context) + (int64_t)(fmin(fmax(seconds, 0), 1e9) * 1e9);
}

bool reach_wait(int fd, short events, const struct clock *clock, int64_t until_ns)
{
    for (;;) {
        int64_t left_ns = until_ns - clock->now_ns(clock->context);
        struct pollfd one = {.fd = fd, .events = events};
        int ready = poll(&one, 1, left_ns <= 0 ? 0 : clock_timeout_ms(clock, (double)left_ns * 1e-9));
        if (ready > 0 || (ready < 0 && errno != EINTR))
            return true;
        if (ready == 0 && left_ns <= 0)
            return false;
    }
}

static enum status cannot_open(const struct address *address, int error, struct message *message)
{
    status_fail(message, STATUS_UNREADABLE, "cannot open %s: %s", address->where, strerror(error));
    if (error == EACCES)
        return status_remedy(message,
                             "let your user read and write it; on Debian the group of serial lines is "
                             "`dialout`");
    if (error == EINVAL && address->kind == ADDRESS_SERIAL)
        return status_remedy(message, "check the line's speed: %d baud is none that it can keep",
                             address->baud);
    if (error == EBUSY)
        return status_remedy(message, "close the other program that uses it");
    return status_remedy(message, "check that it is plugged in, and its name");
}

/* Tells within some 20 s that the far side is gone although nothing was said: a cable pulled, a meter dark. */
static void keep_alive(int fd)
{
    static const int yes = 1, idle_s = 5, between_s = 5, count = 3;
    setsockopt(fd, SOL_SOCKET, SO_KEEPALIVE, &yes, sizeof yes);
    setsockopt(fd, IPPROTO_TCP, TCP_KEEPIDLE, &idle_s, sizeof idle_s);
    setsockopt(fd, IPPROTO_TCP, TCP_KEEPINTVL, &between_s, sizeof between_s);
    setsockopt(fd, IPPROTO_TCP, TCP_KEEPCNT, &count, sizeof count);
    setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof yes);
}

/* 0, or an errno value. */
static int connect_one(const struct addrinfo *to, const struct clock *clock, int64_t until_ns, int *ret_fd)
{
    int fd = socket(to->ai_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0), error = 0;
    socklen_t size = sizeof error;
    if (fd < 0)
        return errno;
    if (connect(fd, to->ai_addr, to->ai_addrlen) != 0) {
        error = errno;
        if (error == EINPROGRESS || error == EINTR) {
            error = ETIMEDOUT;
            if (reach_wait(fd, POLLOUT, clock, until_ns) &&
                getsockopt(fd, SOL_SOCKET, SO_ERROR, &error, &size) != 0)
                error = errno;
        }
    }
    if (error != 0) {
        close(fd);
        return error;
    }
    keep_alive(fd);
    *ret_fd = fd;
    return 0;
}

static enum status open_tcp(const struct address *address, const struct clock *clock, int64_t until_ns,
                            int *ret_fd, struct message *message)
{
    struct addrinfo hints = {.ai_socktype = SOCK_STREAM, .ai_flags = AI_NUMERICSERV}, *all;
    char port[8];
    snprintf(port, sizeof port, "%d", address->port);
    int found = getaddrinfo(address->where, port, &hints, &all), error = ECONNREFUSED;
    if (found != 0) {
        status_fail(message, STATUS_UNREADABLE, "cannot find the host %s: %s", address->where,
                    gai_strerror(found));
        return status_remedy(message, "check its name, or write its number");
    }
    for (const struct addrinfo *one = all; one != NULL && error != 0; one = one->ai_next)
        error = connect_one(one, clock, until_ns, ret_fd);
    freeaddrinfo(all);
    if (error == 0)
        return STATUS_OK;
    status_fail(message, STATUS_UNREADABLE, "cannot reach %s port %d: %s", address->where, address->port,
                strerror(error));
    return status_remedy(message, "check that it is switched on, its cable, and its port");
}

/* Not libserialport: its release 0.1.1 opens no line that sysfs does not list, a pseudo-terminal of a network
 * bridge for one. 0, or an errno value. */
static int set_line(int fd, const struct address *address)
{
    static const tcflag_t sizes[] = {CS5, CS6, CS7, CS8};
    struct termios line;
    speed_t speed;
    if (!find_speed(address->baud, &speed))
        return EINVAL;
    if (tcgetattr(fd, &line) != 0)
        return errno;
    cfmakeraw(&line);
    cfsetispeed(&line, speed);
    cfsetospeed(&line, speed);
    line.c_cflag &= ~(tcflag_t)(CSIZE | CSTOPB | PARENB | PARODD | CRTSCTS);
    line.c_cflag |= CREAD | CLOCAL | (sizes[address->data_bits - 5]) |
                    (address->stop_bits == 2 ? CSTOPB : 0) | (address->parity != 'N' ? PARENB : 0) |
                    (address->parity == 'O' ? PARODD : 0);
    line.c_iflag |= address->parity != 'N' ? INPCK : 0; /* a byte of wrong parity becomes 0 */
    line.c_cc[VMIN] = 1;                                /* so that 0 bytes mean a hang-up */
    line.c_cc[VTIME] = 0;
    if (tcsetattr(fd, TCSANOW, &line) != 0 || tcflush(fd, TCIOFLUSH) != 0)
        return errno;
    return ioctl(fd, TIOCEXCL) == 0 ? 0 : errno;
}

enum status reach_open(const struct address *address, const struct clock *clock, double timeout_s,
                       int *ret_fd, struct message *message)
{
    if (address->kind == ADDRESS_TCP)
        return open_tcp(address, clock, reach_until_ns(clock, timeout_s), ret_fd, message);
    bool input = address->kind == ADDRESS_STDIN;
    int how_open = address->kind == ADDRESS_PATH ? O_RDONLY : O_RDWR;
    int fd = input ? fcntl(STDIN_FILENO, F_DUPFD_CLOEXEC, 3)
                   : open(address->where, how_open | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0)
        return cannot_open(address, errno, message);
    int error = address->kind == ADDRESS_SERIAL ? set_line(fd, address) : 0;
    if (error != 0) {
        close(fd);
        return cannot_open(address, error, message);
    }
    *ret_fd = fd;
    return STATUS_OK;
}
