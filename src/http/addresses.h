/* Addresses: where a server listens, and how it is reached. IPv4: every local network has it. */
#ifndef RUNDOWN_HTTP_ADDRESSES_H
#define RUNDOWN_HTTP_ADDRESSES_H

#include "base/status.h"

#include <stdbool.h>
#include <sys/socket.h>

enum { ADDRESS = 64 };

/* A socket that listens on loopback, or everywhere; `port` 0: a free one. */
enum status address_listen(bool everywhere, int port, int *ret_fd, int *ret_port, struct message *message);
/* "" when it is no IPv4 address. */
void address_print(const struct sockaddr *address, char ret_text[static ADDRESS]);
bool address_is_loopback(const struct sockaddr *address);
/* The address at which a peer reached this socket, "" when the socket is gone; whether it is loopback. */
bool address_own(int fd, char ret_text[static ADDRESS]);
/* Those of this machine but loopback: first the one that would be used to reach far away. */
size_t address_list(char (*ret_addresses)[ADDRESS], size_t room);

#endif
