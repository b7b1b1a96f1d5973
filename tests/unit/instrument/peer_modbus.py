"""A Modbus instrument that somebody else wrote: pymodbus holds and serves the registers of the driver's test.

usage: peer_modbus.py tcp | peer_modbus.py serial DEVICE
Prints its port, or `ready`, when it listens. Invented values.
"""
import asyncio
import sys

from pymodbus.constants import Endian
from pymodbus.datastore import ModbusServerContext, ModbusSlaveContext, ModbusSparseDataBlock
from pymodbus.payload import BinaryPayloadBuilder
from pymodbus.server.async_io import ModbusSerialServer, ModbusTcpServer
from pymodbus.transaction import ModbusRtuFramer


def words(order, **value):
    builder = BinaryPayloadBuilder(byteorder=Endian.Big, wordorder=order)
    (kind, number), = value.items()
    getattr(builder, "add_" + kind)(number)
    return builder.to_registers()


def block(*pieces):
    registers = {}
    for start, values in pieces:
        registers.update({start + k: v for k, v in enumerate(values)})
    return ModbusSparseDataBlock(registers)


inputs = block(
    (18, words(Endian.Little, **{"32bit_uint": 12904})),
    (20, words(Endian.Big, **{"32bit_int": -20515})),
    (22, words(Endian.Big, **{"16bit_int": -3})),
    (30, words(Endian.Big, **{"32bit_float": 12.904})),
    (32, words(Endian.Little, **{"32bit_float": -0.5})),
    (40, words(Endian.Little, **{"64bit_uint": 987654321012345})),
    (44, words(Endian.Big, **{"64bit_int": -987654321012345})),
    (60, words(Endian.Big, **{"16bit_uint": 0xFFFF})),
)
holdings = block((0, words(Endian.Big, **{"32bit_uint": 3600250})), (107, [555, 0, 100]))
context = ModbusServerContext(
    slaves={3: ModbusSlaveContext(ir=inputs, hr=holdings, zero_mode=True)}, single=False)


async def serve():
    if sys.argv[1] == "tcp":
        server = ModbusTcpServer(context, address=("127.0.0.1", 0))
        task = asyncio.ensure_future(server.serve_forever())
        await server.serving
        print(server.server.sockets[0].getsockname()[1], flush=True)
        await task
    else:
        server = ModbusSerialServer(context, framer=ModbusRtuFramer, port=sys.argv[2], baudrate=19200)
        await server.start()
        print("ready", flush=True)
        await server.serve_forever()


asyncio.run(serve())
