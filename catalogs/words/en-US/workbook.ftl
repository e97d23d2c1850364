# The workbooks estimate.xlsx and order.xlsx.

workbook-order = Order
